from django.apps import AppConfig


class SeminarsConfig(AppConfig):
    name = "trainer.seminars"
    label = "seminars"
