"""The marker's form: points and a comment for every row of the rubric."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from quizzes.marking.rubric import Rubric
from quizzes.marking.services import Entry

LONGEST = 2000


class MarkForm(forms.Form):
    """Everything may be saved half done; finishing asks for points in every row."""

    overall = forms.CharField(
        label=_("On the whole"),
        required=False,
        max_length=LONGEST,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_("The writer reads this once it is returned."),
    )

    def __init__(self, *args, rubric: Rubric, entry: Entry, **kwargs):
        initial = {"overall": entry.overall}
        for at in range(len(rubric)):
            initial[f"points-{at}"] = entry.points[at]
            initial[f"comment-{at}"] = entry.comments[at]
        super().__init__(*args, initial=initial, **kwargs)
        self.rubric = rubric
        for at, row in enumerate(rubric):
            self.fields[f"points-{at}"] = forms.IntegerField(
                label=gettext("Points, of %(most)s") % {"most": row.most},
                required=False,
                min_value=0,
                max_value=row.most,
            )
            # Finishing asks for them, so they are not called optional.
            self.fields[f"points-{at}"].needed = True
            self.fields[f"comment-{at}"] = forms.CharField(
                label=gettext("Comment"),
                required=False,
                max_length=LONGEST,
                widget=forms.Textarea(attrs={"rows": 2}),
            )

    @property
    def rows(self):
        return [
            (row, self[f"points-{at}"], self[f"comment-{at}"])
            for at, row in enumerate(self.rubric)
        ]

    def entry(self) -> Entry:
        sent, rows = self.cleaned_data, range(len(self.rubric))
        return Entry(
            points=tuple(sent[f"points-{at}"] for at in rows),
            comments=tuple(sent[f"comment-{at}"] for at in rows),
            overall=sent["overall"],
        )
