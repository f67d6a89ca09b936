from django.apps import AppConfig


class StudyConfig(AppConfig):
    name = "trainer.study"
    label = "study"

    def ready(self):
        from trainer.accounts import erasing
        from trainer.study.erasing import PART

        erasing.register(PART)
