"""The mentor's page: a class made from the priorities, looked at, made again or kept as a draft."""

from __future__ import annotations

import secrets

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from quizzes import exercises, generator
from quizzes.drawing.bench import in_both_looks
from quizzes.drawing.dogs import views_needed
from quizzes.drawing.sketch import Sketch
from quizzes.generator import MadeClass, Wish
from quizzes.generator.wishes import LARGEST, SMALLEST
from quizzes.kinds.placing.board import Ruling
from quizzes.kinds.placing.content import ClassContent, ClassKey, Dog, with_numbers
from quizzes.kinds.placing.kind import KIND
from quizzes.kinds.placing.pictures import is_drawn
from quizzes.kinds.placing.places import cut_word, ordinal
from quizzes.models import Revision
from quizzes.practice import material
from quizzes.practice.forms import DIFFICULTIES, SEXES
from quizzes.practice.showing import drawables
from trainer.clubs.models import Club
from trainer.study import reading
from trainer.study.models import Module

SEEDS = 1_000_000


class MakeClassForm(forms.Form):
    """What the class is to be like; the same wish and seed give the same class."""

    module = forms.ModelChoiceField(
        label=gettext_lazy("Study module"), queryset=Module.objects.none()
    )
    class_name = forms.CharField(
        label=gettext_lazy("Class name"),
        max_length=80,
        help_text=gettext_lazy("Words such as puppy, yearling or veteran set the age."),
    )
    size = forms.IntegerField(
        label=gettext_lazy("How many dogs"), min_value=SMALLEST, max_value=LARGEST
    )
    sex = forms.ChoiceField(label=gettext_lazy("Sex"), choices=SEXES)
    difficulty = forms.ChoiceField(
        label=gettext_lazy("How close it is"), choices=DIFFICULTIES
    )
    odd_one = forms.ChoiceField(
        label=gettext_lazy("A dog that gets no place"),
        required=False,
        choices=[
            ("", gettext_lazy("no: every dog can be placed")),
            ("disqualified", gettext_lazy("one that has to be disqualified")),
            ("excused", gettext_lazy("one that has to be excused")),
        ],
        help_text=gettext_lazy(
            "Its fault is one of your module's; trainees have to find the dog and say why."
        ),
    )
    either_below = forms.TypedChoiceField(
        label=gettext_lazy("Either order is fine"),
        required=False,
        coerce=float,
        empty_value=0.0,
        choices=[
            ("", gettext_lazy("only where two dogs come out equal")),
            ("0.6", gettext_lazy("where two are very close")),
            ("0.7", gettext_lazy("where two are close")),
            ("0.8", gettext_lazy("where two are rather close")),
        ],
        help_text=gettext_lazy(
            "Two dogs are close if small changes to levels and weights would turn them round: "
            "very close in 4 cases of 10, close in 3, rather close in 2."
        ),
    )
    seed = forms.CharField(
        label=gettext_lazy("Number of the class"),
        max_length=20,
        help_text=gettext_lazy(
            "Any number or word. The same one makes the same class again, another one makes another."
        ),
    )

    def __init__(self, *args, user, **kwargs):
        super().__init__(*args, **kwargs)
        mine = Module.objects.editable_by(user).in_force()
        self.fields["module"].queryset = mine.select_related("breed", "club")

    def wish(self, breed: str) -> Wish:
        wanted = self.cleaned_data
        return Wish(
            size=wanted["size"],
            difficulty=wanted["difficulty"],
            sex=wanted["sex"],
            class_name=wanted["class_name"],
            breed=breed,
            seed=wanted["seed"],
            odd_one=wanted["odd_one"] or None,
            either_below=wanted["either_below"],
        )


class Preview:
    """A class that was made, as the mentor looks at it: the dogs in the key's order."""

    def __init__(self, made: MadeClass, priorities):
        self.made, self.priorities = made, priorities
        self.content = ClassContent.read(made.content)
        self.key = ClassKey.read(made.key)
        self.armbands = {dog.id: dog.armband for dog in self.content}
        self.sure = generator.certainties(priorities, made.content, made.key)

    @property
    def notes(self) -> list[str]:
        return [material.said(note) for note in self.made.notes]

    @property
    def in_ten(self) -> str:
        """Of ten pairs, how many a standard trainee is expected to get right."""
        return f"{self.made.difficulty_measured * 10:.1f}"

    @property
    def note(self) -> str:
        return with_numbers(self.key.note, self.armbands)

    @property
    def rows(self) -> list[dict]:
        """Each placed dog with the gap below it."""
        dogs, places = self.content.by_id, self.key.places()
        return [
            {
                "dog": dogs[dog],
                "marker": ordinal(places[dog]),
                "picture": self._picture(dogs[dog]),
                "views": self._views(dogs[dog]),
                "phrases": self._phrases(dogs[dog]),
                "gap": self._gap(at),
            }
            for at, dog in enumerate(self.key.order)
        ]

    @property
    def ruled(self) -> list[dict]:
        dogs = self.content.by_id
        return [
            {
                "dog": dogs[dog],
                "ruling": Ruling(entry["ruling"]).label,
                "reason": with_numbers(entry.get("reason", ""), self.armbands),
                "picture": self._picture(dogs[dog]),
                "views": self._views(dogs[dog]),
            }
            for dog, entry in self.key.rulings.items()
        ]

    def _picture(self, dog: Dog, view="side") -> dict | None:
        if not is_drawn(self.content):
            return None
        alt = _("Plate of %(n)s") % {"n": dog.armband}
        sketch = Sketch.of_dog(self.content.breed, dog)
        return in_both_looks(sketch, view, "card", alt)

    def _views(self, dog: Dog) -> list[dict | None]:
        """The plate in the other views that the class needs."""
        views = views_needed(self.content) if is_drawn(self.content) else ()
        return [self._picture(dog, view) for view in views]

    @property
    def is_drawn(self) -> bool:
        return is_drawn(self.content)

    @property
    def left_to_words(self) -> list[str]:
        """Priorities on which the plates of this class say nothing."""
        if not is_drawn(self.content):
            return []
        found = generator.in_words_only(self.priorities, self.made.content)
        return [one.name for one in found]

    def _phrases(self, dog: Dog) -> list[tuple[str, str]]:
        return [
            (one.name, one.phrases[dog.levels[one.slug]]) for one in self.priorities
        ]

    def _gap(self, at: int) -> dict | None:
        pair = tuple(self.key.order[at : at + 2])
        if len(pair) < 2:
            return None
        reason = self.key.reasons[pair]
        return {
            "level": at in self.key.level,
            "cut": self.key.cuts[at],
            "word": cut_word(self.key.cuts[at]) if self.key.cuts[at] else "",
            "sure": f"{self.sure[pair] * 10:.0f}",
            "reason": with_numbers(reason.reason, self.armbands),
            "grant": with_numbers(reason.grant, self.armbands),
        }


@transaction.atomic
def keep_as_draft(document, made: MadeClass, *, by, title: str, difficulty: str):
    """The class as a draft of the module's club, to be worked on like any other."""
    stored = material.stored(made.content, made.key)
    draft = exercises.new_exercise(
        document.module,
        kind=KIND.slug,
        by=by,
        fields={"title": title, "difficulty": difficulty},
        size=stored["size"],
        places=None,
    )
    return exercises.save_revision(
        draft,
        by=by,
        version=draft.version,
        content=stored["content"],
        key=stored["key"],
    )


def _fresh_seed() -> str:
    return str(secrets.randbelow(SEEDS))


def _first_wish(user) -> dict:
    return {
        "module": Module.objects.editable_by(user).in_force().first(),
        "class_name": material.class_name("dog"),
        "size": 5,
        "difficulty": Revision.Difficulty.MIDDLING,
        "seed": _fresh_seed(),
    }


@require_http_methods(["GET", "POST"])
def make_class(request):
    """A class as wished, to look at; posted, it is kept as a draft. The wish stands in the address."""
    if not Club.objects.taught_by(request.user).exists():
        raise Http404
    sent = request.POST if request.method == "POST" else request.GET
    if "size" not in sent and request.method == "GET":
        form = MakeClassForm(user=request.user, initial=_first_wish(request.user))
        return _page(request, form)
    form = MakeClassForm(sent, user=request.user)
    if not form.is_valid():
        return _page(request, form, status=422)
    document = reading.document(request.user, form.cleaned_data["module"].pk)
    try:
        made = material.make(document, form.wish(material.drawn_breed(document)))
    except ValidationError as error:
        form.add_error(None, error)
        return _page(request, form, status=422)
    if request.method == "POST":
        return _kept(request, form, document, made)
    priorities = material.priorities_of(document.priorities)
    return _page(request, form, preview=Preview(made, priorities))


def _kept(request, form, document, made):
    wanted = form.cleaned_data
    draft = keep_as_draft(
        document,
        made,
        by=request.user,
        title=material.titled(wanted["class_name"], wanted["size"]),
        difficulty=wanted["difficulty"],
    )
    messages.success(
        request, _("Kept as a draft. Change whatever you like; your word wins.")
    )
    return redirect("quizzes:exercise-manage", pk=draft.exercise_id)


def _page(request, form, *, preview=None, status=200):
    again = {name: form[name].value() or "" for name in form.fields} if preview else {}
    another = urlencode({**again, "seed": _fresh_seed()})
    context = {
        "form": form,
        "drawables": _drawables(request.user, form),
        "preview": preview,
        "again": again,
        "another": f"{reverse('quizzes:class-make')}?{another}",
    }
    return render(request, "quizzes/practice/make_class.html", context, status=status)


def _drawables(user, form):
    """What the plates of the chosen module show; None where none is chosen."""
    chosen = form["module"].value()
    pk = getattr(chosen, "pk", chosen)
    mine = form.fields["module"].queryset
    known = str(pk).isdecimal() and mine.filter(pk=pk).exists()
    return drawables(reading.document(user, int(pk))) if known else None
