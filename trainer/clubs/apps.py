from django.apps import AppConfig


class ClubsConfig(AppConfig):
    name = "trainer.clubs"
    label = "clubs"

    def ready(self):
        from trainer.accounts import erasing
        from trainer.clubs.erasing import PART

        erasing.register(PART)
