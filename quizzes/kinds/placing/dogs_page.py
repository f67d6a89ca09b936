"""The mentor's page of a class's dogs: every button saves all that is on it, then does what it says."""

from __future__ import annotations

import secrets

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from quizzes.background import kept_in_background, refused_in_background
from quizzes.dogs import services as library
from quizzes.dogs.showing import library_dogs
from quizzes.drawing import builds
from quizzes.drawing.bench import address_of_dog
from quizzes.exercises import EditedElsewhere
from quizzes.kinds.placing.content import ClassContent, ClassKey, Dog
from quizzes.kinds.placing.kind import KIND
from quizzes.kinds.placing.photographs import save_with_photographs
from quizzes.kinds.placing.pictures import photograph_ids
from quizzes.kinds.placing.taken_out import forget, put_back, remember, taken_out
from quizzes.kinds.placing.workshop_forms import ClassForm, DogForms
from quizzes.models import Revision
from quizzes.practice.following import follow_levels
from trainer.http import wants_json


class DogsPage:
    """One request for the page: the draft (or what is in force), its forms, and the button pressed."""

    def __init__(self, request, draft: Revision, version: int):
        self.request, self.draft, self.version = request, draft, version
        self.content = ClassContent.read(draft.content)
        self.key = ClassKey.read(draft.key)
        self.priorities = draft.module_revision.priorities.prefetch_related(
            "phrases", "steps"
        )
        self.out = taken_out(request.session, draft, self.content)
        posted = request.POST if request.method == "POST" else None
        self.do, _colon, self.dog = request.POST.get("do", "save").partition(":")
        self.form = ClassForm(posted, instance=draft, content=self.content)
        self.dogs = DogForms(
            posted,
            request.FILES or None,
            content=self.content,
            priorities=self.priorities,
            photographs=photograph_ids(self.content, draft.exercise.club_id),
            out=self.out,
            again=self.dog if self.do == "again" else "",
        )
        self.library = library_dogs(self.content, draft.exercise.club_id)
        self.is_conflict = False

    def answer(self):
        """Where a button leads, or the page; with status 422 if nothing could be saved."""
        if self.form.is_bound and self.form.is_valid() and self.dogs.are_valid():
            changed = self.dogs.content(**self.form.content_fields())
            try:
                saved = self._saved(changed)
            except ValidationError as error:
                if wants_json(self.request):
                    return refused_in_background(error)
                self.form.add_error(None, error)
                self.is_conflict = isinstance(error, EditedElsewhere)
            else:
                if wants_json(self.request):
                    return kept_in_background(self.kept_draft)
                self._tell(changed)
                return self._onward(saved)
        if wants_json(self.request):
            return refused_in_background(ValidationError(self._first_error()))
        return self._page()

    def _first_error(self) -> str:
        """What has to be mended first, with the dog and the field it is about."""
        for form in (self.form, *self.dogs):
            for name, errors in form.errors.items():
                dog = form.dog.armband if form is not self.form else None
                label = form.fields[name].label if name in form.fields else None
                return ": ".join(str(one) for one in (dog, label, errors[0]) if one)
        return ""

    @transaction.atomic
    def _saved(self, changed: ClassContent) -> ClassContent:
        """Keep what is on the page and what the button makes of it, or nothing of either."""
        made, key = getattr(self, f"_{self.do.replace('-', '_')}_pressed", _as_it_is)(
            changed, self.key
        )
        self.kept_draft = save_with_photographs(
            self.draft,
            made,
            self.dogs.sent,
            by=self.request.user,
            now=timezone.now(),
            version=self.version,
            key=key.document(),
            **self.form.revision_fields(),
        )
        return made

    # What each button makes of the class and its key.

    def _add_pressed(self, content, key):
        return KIND.with_new_dog(content), key

    def _remove_pressed(self, content, key):
        return KIND.without_dog(content, self.dog), key.without(self.dog)

    def _no_photograph_pressed(self, content, key):
        return content.without_picture(self.dog), key

    def _renumber_pressed(self, content, key):
        return KIND.numbered_anew(content, secrets.SystemRandom()), key

    def _back_pressed(self, content, key):
        """The dog that was taken out last; without its photographs if those are gone."""
        if not self.out:
            return content, key
        content, key = put_back(self.request.session, self.out, content, key)
        shown = photograph_ids(content, self.draft.exercise.club_id)
        if self.out.photographs <= shown:
            return content, key
        return content.without_picture(self.out.id), key

    def _follow_pressed(self, content, key):
        breed, build = builds.of_module(self.draft.exercise.module)
        self.followed = follow_levels(
            self.content,
            content,
            key,
            self.priorities,
            breed=breed,
            build=build,
            anew="anew" in self.request.POST,
        )
        return self.followed.content, self.followed.key

    def _keep_pressed(self, content, key):
        if self.dog not in content.by_id:
            return content, key
        by, now = self.request.user, timezone.now()
        # With its title as it stands on the page.
        self.draft.title = self.form.cleaned_data["title"]
        content, self.kept = library.keep_from_class(
            self.draft, content, self.dog, by=by, now=now
        )
        return content, key

    def _take_over_pressed(self, content, key):
        dog = content.by_id.get(self.dog)
        kept = self.library.get(dog.library) if dog else None
        return (library.taken_over(content, dog.id, kept) if kept else content), key

    def _tell(self, changed: ClassContent) -> None:
        session = self.request.session
        if self.do == "remove" and self.dog in changed.by_id:
            remember(session, self.draft, changed, self.key, self.dog)
        if self.do == "back":
            forget(session)
        if self.do == "follow":
            messages.success(self.request, self.followed.told)
        if self.do == "keep" and self.dog in changed.by_id:
            text = _("“%(dog)s” is in the library now.")
            messages.success(self.request, text % {"dog": self.kept})
        for credit in self.dogs.credits_read:
            messages.info(self.request, credit)

    def _onward(self, content: ClassContent):
        exercise = self.draft.exercise
        if self.do == "draw" and self.dog in content.by_id:
            dog = content.by_id[self.dog]
            return redirect(address_of_dog(exercise, content, dog))
        if self.do == "key":
            return redirect("quizzes:placing-key", pk=exercise.pk)
        if self.do == "library":
            return redirect("quizzes:class-library", pk=exercise.pk)
        anchor = self.dog
        if self.do == "add":
            anchor = content.dogs[-1].id
        back = reverse("quizzes:placing-dogs", args=[exercise.pk])
        return redirect(f"{back}#dog-{anchor}" if anchor in content.by_id else back)

    def _page(self):
        if self.form.is_bound:
            self.dogs.ask_for_files_again()
        for form in self.dogs:
            form.origin = self._origin(form.dog)
        context = {
            "revision": self.draft,
            "is_draft": self.draft.state == Revision.State.DRAFT,
            "form": self.form,
            "facts_have_errors": any(one.errors for one in self.form.visible_fields()),
            "dogs": self.dogs,
            "is_conflict": self.is_conflict,
            "taken_out": None if self.dogs.gone else self.out,
            "version": self._version_to_send(),
        }
        status = 422 if self.form.is_bound else 200
        return render(
            self.request, "quizzes/placing/class_dogs.html", context, status=status
        )

    def _origin(self, dog: Dog) -> dict | None:
        """The dog of the library that a dog came from, and whether it was changed since."""
        kept = self.library.get(dog.library)
        if kept is None:
            return None
        return {"kept": kept, "changed": kept.version != dog.library_version}

    def _version_to_send(self) -> int:
        """After a refusal because of somebody else's save, saving again keeps what is on the page."""
        if not self.form.non_field_errors():
            return self.draft.version
        fresh = Revision.objects.values_list("version", flat=True)
        return fresh.get(pk=self.draft.pk)


def _as_it_is(content, key):
    return content, key
