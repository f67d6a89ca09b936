from django.apps import AppConfig


class StudyConfig(AppConfig):
    name = "trainer.study"
    label = "study"
