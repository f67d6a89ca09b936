from django.apps import AppConfig


class PicturesConfig(AppConfig):
    name = "trainer.pictures"
    label = "pictures"
