from django.apps import AppConfig


class SeminarsConfig(AppConfig):
    name = "trainer.seminars"
    label = "seminars"

    def ready(self):
        from trainer.accounts import erasing
        from trainer.seminars import guests  # noqa: F401, listens for confirmed addresses
        from trainer.seminars.erasing import PART

        erasing.register(PART)
