from django.apps import AppConfig


class AccountsConfig(AppConfig):
    name = "trainer.accounts"
    label = "accounts"

    def ready(self):
        from trainer.accounts import events  # noqa: F401 (connects the log lines)
