from django.apps import AppConfig


class AccountsConfig(AppConfig):
    name = "trainer.accounts"
    label = "accounts"
