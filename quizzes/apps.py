from django.apps import AppConfig


class QuizzesConfig(AppConfig):
    name = "quizzes"

    def ready(self):
        from quizzes.drawing.lessons import kept_drawings
        from trainer.study import drawn

        drawn.register(kept_drawings)
