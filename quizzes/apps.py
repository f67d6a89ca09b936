from django.apps import AppConfig


class QuizzesConfig(AppConfig):
    name = "quizzes"

    def ready(self):
        from quizzes.drawing.lessons import kept_drawings, printed
        from quizzes.record.erasing import PART
        from trainer.accounts import erasing
        from trainer.study import drawn

        drawn.register(kept_drawings)
        drawn.register_printer(printed)
        erasing.register(PART)
