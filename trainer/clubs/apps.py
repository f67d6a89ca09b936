from django.apps import AppConfig


class ClubsConfig(AppConfig):
    name = "trainer.clubs"
    label = "clubs"
