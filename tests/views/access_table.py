"""Who gets which answer at every address of the site.

A row says what each kind of person gets for GET and for POST; `args` makes the objects in
the address (all of "the own club"), `data` what is posted. Without `post` the address takes
no writes. Adding an address: add a row; tests/views/test_access.py fails until it is there.
"""

import json
from collections.abc import Callable
from dataclasses import dataclass

WHO = (
    "anonymous",
    "stranger",
    "their trainee",
    "their mentor",
    "their organiser",
    "trainee",
    "mentor",
    "organiser",
    "staff",
)

OK = "200 ok"
LOGIN = "302 to sign-in"
ELSEWHERE = "302 elsewhere"
REFUSED = "403 refused"
NOT_FOUND = "404 not found"
WRONG_METHOD = "405 wrong method"
OVER = "410 over"
FORM_AGAIN = "422 form again"
NO_CONTENT = "204 noted"


def everybody(answer):
    """The same for all, signed in or not."""
    return dict.fromkeys(WHO, answer)


def signed_in(answer, *, anonymous=LOGIN):
    """The same for all who are signed in."""
    return {**everybody(answer), "anonymous": anonymous}


def only(answer, *who, others=NOT_FOUND):
    """For these people and site staff; the rest learn nothing."""
    return {**signed_in(others), **dict.fromkeys([*who, "staff"], answer)}


def members(answer):
    return only(answer, "trainee", "mentor", "organiser")


def mentors(answer):
    return only(answer, "mentor")


def organisers(answer):
    return only(answer, "organiser")


def owner(answer):
    """For the trainee of the own club, whose attempt it is, and nobody else."""
    return only(answer, "trainee") | {"staff": NOT_FOUND}


def nothing(cast):
    return {}


@dataclass(frozen=True)
class Row:
    get: dict
    post: dict | None = None
    args: Callable = nothing
    data: Callable = nothing


NO_GET = signed_in(WRONG_METHOD)


def club(cast):
    return {"slug": cast.club.slug}


def member(cast):
    return {"slug": cast.club.slug, "pk": cast.people["trainee"].pk}


def invitation(cast):
    return {"slug": cast.club.slug, "pk": cast.invitation.pk}


def code(cast):
    return {"code": cast.invitation.code}


def module(cast):
    return {"pk": cast.module.pk}


def priority(cast):
    return {"pk": cast.module.pk, "slug": "priority-1"}


def step(cast):
    return {"pk": cast.module.pk, "number": 1}


def picture(cast):
    return {"public_id": cast.picture.public_id}


def picture_file(cast):
    return {"public_id": cast.picture.public_id, "size": "large"}


def exercise(cast):
    return {"pk": cast.revision.exercise_id}


def exercise_dog(cast):
    return {"pk": cast.revision.exercise_id, "dog": "a"}


def draft(cast):
    return {"pk": cast.draft.exercise_id}


def announced(cast):
    """A seminar of the own club at which its trainee has a place."""
    return {"pk": cast.seminar.pk}


def sitting(cast):
    """A class of that seminar which waits to be started."""
    return {"pk": cast.seminar.pk, "number": cast.sitting.number}


def live_class(cast):
    return {"pk": cast.seminar.pk, "number": cast.live_class.number}


def drawn_class(cast):
    """A class of drawn dogs of that seminar which waits to be started."""
    return {"pk": cast.seminar.pk, "number": cast.drawn_class.number}


def join_code(cast):
    return {"code": cast.seminar.join_code}


def place_link(cast):
    return {"code": cast.place.code}


def place_step(cast):
    return {"pk": cast.seminar.pk, "number": cast.place.pk, "step": "in"}


def stay(cast):
    return {"pk": cast.seminar.pk, "number": cast.stay.pk}


def over(cast):
    """A seminar that is over, at which its trainee was there."""
    return {"pk": cast.over.pk}


def certificate(cast):
    return {"pk": cast.over.pk, "number": cast.certificate.number}


def critique(cast):
    return {"pk": cast.critique.exercise_id}


def open_attempt(cast):
    return {"pk": cast.open_attempt.pk}


def open_attempt_dog(cast):
    return {"pk": cast.open_attempt.pk, "dog": "a"}


def attempt(cast):
    return {"pk": cast.attempt.pk}


def assessment(cast):
    return {"pk": cast.assessment.pk}


def assessment_draft(cast):
    return {"pk": cast.assessment_draft.pk}


def a_try(cast):
    """An open try of the own club's trainee."""
    return {"pk": cast.a_try.pk}


def kept_drawing(cast):
    return {"pk": cast.drawing.pk}


def library_dog(cast):
    return {"pk": cast.library_dog.pk}


def build(cast):
    return {"pk": cast.build.pk}


def panel(cast):
    return {"pk": cast.panel.exercise_id}


def closed_panel(cast):
    return {"pk": cast.closed_panel.exercise_id}


def panel_key(cast):
    """The mentor's own key for an open panel."""
    return {"pk": cast.panel.keys.get(mentor=cast.people["mentor"]).pk}


def its_mentor(answer):
    """For the mentor who opened the panel, or whose key it is, and nobody else."""
    return mentors(answer) | {"staff": NOT_FOUND}


def teachers(answer):
    """For whoever teaches in some club."""
    return only(answer, "mentor", "their mentor")


def at_the_front(answer):
    """For mentors of the seminar and organisers of its club."""
    return only(answer, "mentor", "organiser")


def leaders(answer):
    """For whoever is a mentor or an organiser in some club."""
    return only(answer, "mentor", "their mentor", "organiser", "their organiser")


def reset_key(cast):
    return {"uidb36": "1", "key": "no-such-key"}


def passkey(cast):
    return {"pk": 1}


SITE = {
    "home": Row(get=everybody(OK), post=everybody(WRONG_METHOD)),
    "service-worker": Row(get=everybody(OK), post=everybody(WRONG_METHOD)),
    "offline": Row(get=everybody(OK), post=everybody(WRONG_METHOD)),
    "health": Row(get=everybody(OK), post=everybody(WRONG_METHOD)),
    "accounts:profile": Row(
        get=signed_in(OK),
        post=signed_in(ELSEWHERE),
        data=lambda cast: {"name": "Another name"},
    ),
    "accounts:delete": Row(get=signed_in(OK), post=signed_in(FORM_AGAIN)),
    "accounts:deleted": Row(get=everybody(OK), post=everybody(WRONG_METHOD)),
    "accounts:theme": Row(get=everybody(WRONG_METHOD), post=everybody(ELSEWHERE)),
}

# Pages of the library. Whoever is signed in is led away from the ways in; a step that is
# not due leads back; what changes the second step asks for the password once more. Nobody
# in the table has a second step.
WAY_IN = signed_in(ELSEWHERE, anonymous=OK)
NOT_DUE = ASKS_AGAIN = signed_in(ELSEWHERE)
HAS_NONE = signed_in(NOT_FOUND)

ACCOUNT = {
    "account_login": Row(get=WAY_IN, post=WAY_IN),
    "account_signup": Row(get=WAY_IN, post=WAY_IN),
    "account_logout": Row(
        get=signed_in(OK, anonymous=ELSEWHERE), post=everybody(ELSEWHERE)
    ),
    "account_inactive": Row(get=everybody(OK), post=everybody(WRONG_METHOD)),
    "account_reauthenticate": Row(get=signed_in(OK), post=signed_in(OK)),
    "account_email": Row(get=signed_in(OK), post=signed_in(ELSEWHERE)),
    "account_email_verification_sent": Row(get=NOT_DUE, post=NOT_DUE),
    "account_change_password": Row(get=signed_in(OK), post=signed_in(OK)),
    "account_set_password": Row(get=signed_in(ELSEWHERE), post=signed_in(ELSEWHERE)),
    "account_reset_password": Row(get=everybody(OK), post=everybody(OK)),
    "account_reset_password_done": Row(get=everybody(OK), post=everybody(WRONG_METHOD)),
    "account_reset_password_from_key": Row(
        get=everybody(OK), post=everybody(OK), args=reset_key
    ),
    "account_reset_password_from_key_done": Row(
        get=everybody(OK), post=everybody(WRONG_METHOD)
    ),
    "account_confirm_login_code": Row(get=NOT_DUE, post=NOT_DUE),
    "mfa_index": Row(get=signed_in(OK)),
    "mfa_authenticate": Row(get=NOT_DUE, post=NOT_DUE),
    "mfa_reauthenticate": Row(get=NOT_DUE, post=NOT_DUE),
    "mfa_activate_totp": Row(get=ASKS_AGAIN, post=ASKS_AGAIN),
    "mfa_deactivate_totp": Row(get=HAS_NONE, post=HAS_NONE),
    "mfa_view_recovery_codes": Row(get=HAS_NONE),
    "mfa_generate_recovery_codes": Row(get=ASKS_AGAIN, post=ASKS_AGAIN),
    "mfa_download_recovery_codes": Row(get=HAS_NONE, post=HAS_NONE),
    "mfa_list_webauthn": Row(get=signed_in(OK)),
    "mfa_add_webauthn": Row(get=ASKS_AGAIN, post=ASKS_AGAIN),
    "mfa_reauthenticate_webauthn": Row(get=NOT_DUE, post=NOT_DUE),
    "mfa_remove_webauthn": Row(get=ASKS_AGAIN, post=ASKS_AGAIN, args=passkey),
    "mfa_edit_webauthn": Row(get=ASKS_AGAIN, post=ASKS_AGAIN, args=passkey),
    "mfa_login_webauthn": Row(get=NOT_DUE, post=NOT_DUE),
}

CLUBS = {
    "clubs:club-list": Row(get=signed_in(OK)),
    "clubs:club-found": Row(
        get=signed_in(OK),
        post=signed_in(ELSEWHERE),
        data=lambda cast: {"name": "A new club"},
    ),
    "clubs:club-detail": Row(get=members(OK), args=club),
    "clubs:club-edit": Row(
        get=organisers(OK),
        post=organisers(ELSEWHERE),
        args=club,
        data=lambda cast: {"name": "Another name", "months_kept": 12},
    ),
    "clubs:club-leave": Row(
        get=members(OK) | {"staff": NOT_FOUND},
        post=members(ELSEWHERE) | {"staff": NOT_FOUND},
        args=club,
    ),
    "clubs:member-edit": Row(
        get=organisers(OK),
        post=organisers(ELSEWHERE),
        args=member,
        data=lambda cast: {"roles": ["mentor"]},
    ),
    "clubs:invitation-create": Row(
        get=NO_GET,
        post=organisers(ELSEWHERE),
        args=club,
        data=lambda cast: {"role": "trainee", "places": "3"},
    ),
    "clubs:invitation-withdraw": Row(
        get=NO_GET, post=organisers(ELSEWHERE), args=invitation
    ),
    "clubs:invitation-accept": Row(
        get=everybody(OK), post=signed_in(ELSEWHERE), args=code
    ),
}


def module_draft(cast):
    return {"pk": cast.module_draft.module_id}


def draft_part(cast):
    return {"pk": cast.module_draft.module_id, "part": "priorities"}


def draft_row(cast):
    row = cast.module_draft.priorities.get(number=1)
    return {**draft_part(cast), "row": row.pk}


def draft_lesson(cast):
    return {"pk": cast.module_draft.module_id, "row": cast.lesson.pk}


def draft_section(cast):
    return {**draft_lesson(cast), "section": cast.lesson.sections[0]["id"]}


def lesson_plate(cast):
    """A drawn dog in a lesson of a draft."""
    return {
        "revision": cast.module_draft.pk,
        "lesson": cast.drawn_section[0].slug,
        "section": cast.drawn_section[1]["id"],
        "side": "0",
    }


def lesson_page(cast):
    return {"pk": cast.lesson_in_force.revision.module_id, "slug": "moving"}


def taken_out(cast):
    return {"pk": cast.module_draft.module_id, "removed": cast.taken_out.pk}


def about_module(cast):
    return {"title": "Another title", "examined": "ground", "version": 1}


def new_module(cast):
    return {
        "club": cast.module.club_id,
        "breed": "Another breed",
        "title": "Another module",
        "start": "nothing",
    }


def a_visit(cast):
    return {"part": "examination", "visit": "v-1", "seconds": "30"}


PAPERS = ("module-print", "module-pdf", "card-pdf", "module-pages")

STUDY = {
    **{f"study:{name}": Row(get=members(OK), args=module) for name in PAPERS},
    **{f"preview:{name}": Row(get=mentors(OK), args=module_draft) for name in PAPERS},
    "study:page-read": Row(
        get=NO_GET, post=members(NO_CONTENT), args=module, data=a_visit
    ),
    "preview:page-read": Row(
        get=NO_GET, post=members(NO_CONTENT), args=module, data=a_visit
    ),
    "preview:module-list": Row(get=signed_in(OK)),
    "preview:module-detail": Row(get=mentors(OK), args=module_draft),
    "preview:priority-detail": Row(
        get=mentors(OK), args=lambda c: {**module_draft(c), "slug": "priority-1"}
    ),
    "preview:examination": Row(get=mentors(OK), args=module_draft),
    "preview:step-detail": Row(
        get=mentors(OK), args=lambda c: {**module_draft(c), "number": 1}
    ),
    "preview:fault-list": Row(get=mentors(OK), args=module_draft),
    "desk:module-list": Row(get=teachers(OK)),
    "desk:module-new": Row(
        get=teachers(OK),
        post=mentors(ELSEWHERE) | {"their mentor": FORM_AGAIN},
        data=new_module,
    ),
    "desk:module": Row(get=mentors(OK), args=module_draft),
    "desk:about": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=module_draft,
        data=about_module,
    ),
    "desk:weights": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=module_draft,
        data=lambda cast: {"do": "rank"},
    ),
    "desk:module-begin": Row(get=NO_GET, post=mentors(ELSEWHERE), args=module),
    "desk:module-offer": Row(get=NO_GET, post=mentors(ELSEWHERE), args=module_draft),
    "desk:module-publish": Row(get=NO_GET, post=mentors(ELSEWHERE), args=module_draft),
    "desk:module-withdraw": Row(get=mentors(OK), post=mentors(ELSEWHERE), args=module),
    "desk:module-discard": Row(
        get=mentors(OK), post=mentors(ELSEWHERE), args=module_draft
    ),
    "desk:compare": Row(get=mentors(OK), args=module),
    "desk:put-back": Row(get=NO_GET, post=mentors(ELSEWHERE), args=taken_out),
    "desk:part": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=draft_part,
        data=lambda cast: {"name": "Another one"},
    ),
    "desk:row": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=draft_row,
        data=lambda cast: {"name": "Another name", "version": 1},
    ),
    "desk:text-preview": Row(
        get=signed_in(WRONG_METHOD),
        post=mentors(OK),
        args=module_draft,
        data=lambda cast: {"text": "some text"},
    ),
    "desk:section-add": Row(
        get=NO_GET,
        post=mentors(ELSEWHERE),
        args=draft_lesson,
        data=lambda cast: {"kind": "text"},
    ),
    "desk:section": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=draft_section,
        data=lambda cast: {"text": "Another text", "version": 1},
    ),
    "desk:section-move": Row(
        get=NO_GET,
        post=mentors(ELSEWHERE),
        args=draft_section,
        data=lambda cast: {"to": "up"},
    ),
    "desk:section-remove": Row(get=NO_GET, post=mentors(ELSEWHERE), args=draft_section),
    "desk:row-move": Row(
        get=NO_GET,
        post=mentors(ELSEWHERE),
        args=draft_row,
        data=lambda cast: {"to": "down"},
    ),
    "desk:row-remove": Row(get=NO_GET, post=mentors(ELSEWHERE), args=draft_row),
    "study:module-list": Row(get=signed_in(OK)),
    "study:module-detail": Row(get=members(OK), args=module),
    "study:priority-detail": Row(get=members(OK), args=priority),
    "study:examination": Row(get=members(OK), args=module),
    "study:rehearsal": Row(get=members(OK), args=module),
    "preview:rehearsal": Row(get=mentors(OK), args=module_draft),
    "study:step-detail": Row(get=members(OK), args=step),
    "study:fault-list": Row(get=members(OK), args=module),
    "study:term-list": Row(get=members(OK), args=module),
    "preview:term-list": Row(get=mentors(OK), args=module_draft),
    "study:lesson-detail": Row(get=members(OK), args=lesson_page),
    "preview:lesson-detail": Row(
        get=mentors(OK), args=lambda c: {**module_draft(c), "slug": c.lesson.slug}
    ),
}

WHOLE_ANSWER = {"order": ["a", "b", "c", "d"], "rulings": {}}

QUIZZES = {
    # the trainee's
    "quizzes:exercise-list": Row(get=signed_in(OK)),
    "quizzes:exercise-detail": Row(get=members(OK), args=exercise),
    "quizzes:attempt-begin": Row(get=NO_GET, post=members(ELSEWHERE), args=exercise),
    "quizzes:attempt-answer": Row(get=owner(OK), args=open_attempt),
    "quizzes:attempt-hand-in": Row(
        get=NO_GET,
        post=owner(ELSEWHERE),
        args=open_attempt,
        data=lambda cast: {"answer": json.dumps(WHOLE_ANSWER)},
    ),
    "quizzes:attempt-result": Row(get=only(OK, "trainee", "mentor"), args=attempt),
    "quizzes:record": Row(get=signed_in(OK)),
    "quizzes:record-progress": Row(get=signed_in(OK)),
    "quizzes:record-files": Row(get=signed_in(OK)),
    "quizzes:record-json": Row(get=signed_in(OK)),
    "quizzes:record-csv": Row(get=signed_in(OK)),
    "quizzes:record-xapi": Row(get=signed_in(OK)),
    "quizzes:record-pdf": Row(
        get=NO_GET, post=signed_in(OK), data=lambda cast: {"name": "On paper"}
    ),
    "quizzes:practice-new": Row(
        get=signed_in(OK),
        post=signed_in(FORM_AGAIN)
        | dict.fromkeys(["trainee", "mentor", "organiser", "staff"], ELSEWHERE),
        data=lambda cast: {
            "module": cast.module.pk,
            "size": "4",
            "sex": "bitch",
            "difficulty": "suits",
        },
    ),
    "quizzes:practice-twin": Row(get=NO_GET, post=owner(ELSEWHERE), args=attempt),
    # Nobody deletes what was begun of a club's class; tests/views/test_practice.py deletes one's own.
    "quizzes:practice-drop": Row(
        get=NO_GET, post=signed_in(NOT_FOUND), args=open_attempt
    ),
    # the trainee's open class
    "quizzes:placing-board": Row(
        get=NO_GET,
        post=owner(ELSEWHERE),
        args=open_attempt,
        data=lambda cast: {"move": "place:a"},
    ),
    "quizzes:placing-save": Row(
        get=NO_GET,
        post=owner(OK),
        args=open_attempt,
        data=lambda cast: {"answer": json.dumps(WHOLE_ANSWER), "version": "0"},
    ),
    "quizzes:placing-reasons": Row(
        get=owner(OK), post=owner(ELSEWHERE), args=open_attempt
    ),
    "quizzes:placing-rulings": Row(
        get=owner(OK),
        post=owner(ELSEWHERE),
        args=open_attempt,
        data=lambda cast: {"reason": "None is good enough"},
    ),
    "quizzes:placing-ruling": Row(
        get=owner(OK),
        post=owner(ELSEWHERE),
        args=open_attempt_dog,
        data=lambda cast: {"ruling": "excused", "reason": "Lame, right fore"},
    ),
    "quizzes:placing-compare": Row(get=owner(OK), args=open_attempt),
    "quizzes:placing-more-time": Row(
        get=NO_GET, post=owner(ELSEWHERE), args=open_attempt
    ),
    "quizzes:placing-plate": Row(get=owner(OK), args=open_attempt_dog),
    "quizzes:placing-overlay": Row(
        get=owner(OK),
        args=lambda cast: {**open_attempt(cast), "first": "a", "second": "b"},
    ),
    # the mentor's; whoever teaches nowhere finds an empty workshop
    "quizzes:workshop": Row(get=signed_in(OK)),
    "quizzes:exercise-manage": Row(get=mentors(OK), args=exercise),
    "quizzes:exercise-preview": Row(get=NO_GET, post=mentors(ELSEWHERE), args=exercise),
    "quizzes:exercise-publish": Row(get=NO_GET, post=mentors(ELSEWHERE), args=draft),
    "quizzes:draft-discard": Row(get=mentors(OK), post=mentors(ELSEWHERE), args=draft),
    "quizzes:draft-begin": Row(get=NO_GET, post=mentors(ELSEWHERE), args=exercise),
    "quizzes:draft-offer": Row(get=NO_GET, post=mentors(ELSEWHERE), args=draft),
    "quizzes:exercise-withdraw": Row(
        get=mentors(OK), post=mentors(ELSEWHERE), args=exercise
    ),
    "quizzes:exercise-compare": Row(get=mentors(OK), args=exercise),
    "quizzes:exercise-attempts": Row(get=mentors(OK), args=exercise),
    "quizzes:placing-new": Row(
        get=signed_in(OK),
        post=signed_in(FORM_AGAIN) | {"mentor": ELSEWHERE, "staff": ELSEWHERE},
        data=lambda cast: {
            "module": cast.module.pk,
            "title": "A new class",
            "size": "4",
            "difficulty": "plain",
        },
    ),
    "quizzes:placing-dogs": Row(
        get=mentors(OK),
        post=mentors(FORM_AGAIN),
        args=exercise,
        data=lambda cast: {"title": ""},
    ),
    "quizzes:placing-print": Row(get=mentors(OK), args=exercise),
    "quizzes:placing-key": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=draft,
        data=lambda cast: {"version": cast.draft.version},
    ),
    # a critique
    "quizzes:critique-write": Row(
        get=NO_GET,
        post=owner(ELSEWHERE),
        args=lambda cast: {"pk": cast.open_critique.pk},
        data=lambda cast: {"text": "A balanced dog.", "version": "0"},
    ),
    "quizzes:critique-new": Row(
        get=signed_in(OK),
        post=signed_in(FORM_AGAIN) | {"mentor": ELSEWHERE, "staff": ELSEWHERE},
        data=lambda cast: {"module": cast.module.pk, "title": "A new critique"},
    ),
    "quizzes:critique-task": Row(
        get=mentors(OK),
        post=mentors(FORM_AGAIN),
        args=critique,
        data=lambda cast: {"title": ""},
    ),
    "quizzes:critique-print": Row(get=mentors(OK), args=critique),
    "quizzes:critique-key": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=critique,
        data=lambda cast: {
            "critique": "A balanced dog.",
            "version": cast.critique.version,
        },
    ),
    # an examination from memory
    "quizzes:from-memory": Row(
        get=NO_GET,
        post=members(ELSEWHERE),
        args=lambda cast: {"pk": cast.examination.exercise.module_id},
    ),
    "quizzes:examination-new": Row(
        get=signed_in(OK),
        post=signed_in(FORM_AGAIN) | {"mentor": ELSEWHERE, "staff": ELSEWHERE},
        data=lambda cast: {"module": cast.module.pk, "title": "Mine"},
    ),
    "quizzes:examination-parts": Row(
        get=mentors(OK),
        post=mentors(FORM_AGAIN),
        args=lambda cast: {"pk": cast.examination.exercise_id},
    ),
    "quizzes:examination-print": Row(
        get=mentors(OK), args=lambda cast: {"pk": cast.examination.exercise_id}
    ),
    # a sheet
    "quizzes:sheet-write": Row(
        get=NO_GET,
        post=owner(ELSEWHERE),
        args=lambda cast: {"pk": cast.open_sheet.pk},
        data=lambda cast: {"version": "0"},
    ),
    "quizzes:sheet-new": Row(
        get=signed_in(OK),
        post=signed_in(FORM_AGAIN) | {"mentor": ELSEWHERE, "staff": ELSEWHERE},
        args=lambda cast: {"slug": "severity"},
        data=lambda cast: {"module": cast.module.pk, "title": "A new sheet"},
    ),
    "quizzes:sheet-rows": Row(
        get=mentors(OK),
        post=mentors(FORM_AGAIN),
        args=lambda cast: {"pk": cast.sheet.exercise_id},
        data=lambda cast: {"title": ""},
    ),
    # estimates by eye
    "quizzes:eye-plate": Row(
        get=owner(OK), args=lambda cast: {"pk": cast.open_eye.pk, "row": "r1"}
    ),
    "quizzes:eye-draft-plate": Row(
        get=mentors(OK), args=lambda cast: {"pk": cast.eye.exercise_id, "row": "r1"}
    ),
    # which of two
    "quizzes:two-choose": Row(
        get=NO_GET,
        post=owner(ELSEWHERE),
        args=lambda cast: {"pk": cast.open_pairs.pk},
        data=lambda cast: {"pair": "1", "chosen": "0"},
    ),
    "quizzes:two-plate": Row(
        get=owner(OK),
        args=lambda cast: {"pk": cast.open_pairs.pk, "number": 1, "side": 0},
    ),
    "quizzes:two-new": Row(
        get=signed_in(OK),
        post=signed_in(FORM_AGAIN) | {"mentor": ELSEWHERE, "staff": ELSEWHERE},
        data=lambda cast: {"module": cast.module.pk, "title": "New pairs"},
    ),
    "quizzes:two-task": Row(
        get=mentors(OK),
        post=mentors(FORM_AGAIN),
        args=lambda cast: {"pk": cast.pairs.exercise_id},
        data=lambda cast: {"title": ""},
    ),
    "quizzes:two-print": Row(
        get=mentors(OK), args=lambda cast: {"pk": cast.pairs.exercise_id}
    ),
    "quizzes:two-example": Row(
        get=mentors(OK),
        args=lambda cast: {
            "pk": cast.pairs.exercise_id,
            "which": "largest",
            "side": 0,
        },
    ),
    "quizzes:sheet-print": Row(
        get=mentors(OK), args=lambda cast: {"pk": cast.sheet.exercise_id}
    ),
    "quizzes:sheet-plate": Row(
        get=owner(OK),
        args=lambda cast: {"pk": cast.open_questions.pk, "row": "r1", "place": "whole"},
    ),
    "quizzes:sheet-pictures": Row(
        get=mentors(OK),
        post=mentors(FORM_AGAIN),
        args=lambda cast: {"pk": cast.questions.exercise_id, "row": "r1"},
        data=lambda cast: {"whole-photo": "nonsense"},
    ),
    "quizzes:sheet-draft-plate": Row(
        get=mentors(OK),
        args=lambda cast: {
            "pk": cast.questions.exercise_id,
            "row": "r1",
            "place": "whole",
        },
    ),
    # seminars
    "seminars:seminar-list": Row(get=signed_in(OK)),
    "seminars:seminar-new": Row(
        get=organisers(OK), post=organisers(FORM_AGAIN), args=club
    ),
    "seminars:feed": Row(get=everybody(OK), post=everybody(WRONG_METHOD), args=club),
    "seminars:seminar-detail": Row(
        get=everybody(OK), post=everybody(WRONG_METHOD), args=announced
    ),
    "seminars:calendar": Row(
        get=everybody(OK), post=everybody(WRONG_METHOD), args=announced
    ),
    "seminars:enrol": Row(get=NO_GET, post=signed_in(ELSEWHERE), args=announced),
    "seminars:withdraw": Row(
        get=only(OK, "trainee") | {"staff": NOT_FOUND},
        post=only(ELSEWHERE, "trainee") | {"staff": NOT_FOUND},
        args=announced,
    ),
    "seminars:seminar-edit": Row(
        get=organisers(OK), post=organisers(FORM_AGAIN), args=announced
    ),
    "seminars:seminar-announce": Row(
        get=NO_GET, post=organisers(ELSEWHERE), args=announced
    ),
    "seminars:seminar-end": Row(
        get=organisers(OK), post=organisers(OK), args=announced
    ),
    "seminars:join": Row(get=everybody(OK), post=everybody(FORM_AGAIN)),
    "seminars:join-code": Row(
        get=everybody(OK),
        post=signed_in(ELSEWHERE, anonymous=FORM_AGAIN),
        args=join_code,
    ),
    "seminars:personal": Row(
        get=everybody(OK), post=everybody(ELSEWHERE), args=place_link
    ),
    "seminars:give-up": Row(
        get=everybody(ELSEWHERE), post=everybody(ELSEWHERE), args=place_link
    ),
    "seminars:invited": Row(
        get=everybody(OK),
        post=signed_in(ELSEWHERE, anonymous=FORM_AGAIN),
        args=lambda cast: {"code": cast.seminar_link.code},
    ),
    "seminars:invitations": Row(
        get=organisers(OK), post=organisers(FORM_AGAIN), args=announced
    ),
    "seminars:invitation-withdraw": Row(
        get=NO_GET,
        post=organisers(ELSEWHERE),
        args=lambda cast: {
            "pk": cast.seminar.pk,
            "number": cast.seminar_link.pk,
        },
    ),
    "seminars:club-attendance": Row(
        get=organisers(OK), post=signed_in(WRONG_METHOD), args=club
    ),
    "seminars:club-attendee": Row(
        get=organisers(OK),
        post=signed_in(WRONG_METHOD),
        args=lambda cast: {
            "slug": cast.club.slug,
            "number": cast.certificate.attendee_id,
        },
    ),
    "seminars:club-attendance-file": Row(
        get=organisers(OK), post=signed_in(WRONG_METHOD), args=club
    ),
    "seminars:mine-file": Row(get=signed_in(OK), post=signed_in(WRONG_METHOD)),
    "seminars:mine": Row(get=signed_in(OK), post=signed_in(WRONG_METHOD)),
    "seminars:as-guest": Row(get=signed_in(ELSEWHERE), post=signed_in(ELSEWHERE)),
    "seminars:room": Row(
        get=only(OK, "trainee") | {"staff": NOT_FOUND},
        post=signed_in(WRONG_METHOD),
        args=announced,
    ),
    "seminars:hand-in": Row(
        get=NO_GET,
        post=only(FORM_AGAIN, "trainee") | {"staff": NOT_FOUND},
        args=announced,
        data=lambda cast: {"sitting": cast.sitting.pk, "placing": "11-22-33-44"},
    ),
    "seminars:check-out": Row(
        get=NO_GET,
        post=only(ELSEWHERE, "trainee") | {"staff": NOT_FOUND},
        args=announced,
    ),
    "seminars:stage": Row(
        get=at_the_front(OK), post=signed_in(WRONG_METHOD), args=announced
    ),
    "seminars:rostrum": Row(
        get=at_the_front(OK), post=signed_in(WRONG_METHOD), args=announced
    ),
    "seminars:sitting-add": Row(
        get=NO_GET, post=at_the_front(FORM_AGAIN), args=announced
    ),
    "seminars:sitting-do": Row(
        get=NO_GET,
        post=at_the_front(ELSEWHERE),
        args=lambda cast: {**sitting(cast), "step": "start"},
    ),
    "seminars:sitting-show": Row(
        get=at_the_front(OK), post=at_the_front(ELSEWHERE), args=sitting
    ),
    "seminars:sitting-line": Row(
        get=NO_GET, post=at_the_front(ELSEWHERE), args=sitting
    ),
    "seminars:sitting-key": Row(
        get=at_the_front(OK), post=at_the_front(FORM_AGAIN), args=live_class
    ),
    "seminars:clerk": Row(
        get=at_the_front(OK), post=at_the_front(FORM_AGAIN), args=sitting
    ),
    "seminars:plate": Row(
        get=at_the_front(OK),
        post=signed_in(WRONG_METHOD),
        args=lambda cast: {**drawn_class(cast), "what": "a", "place": "whole"},
    ),
    "seminars:photograph": Row(
        get=signed_in(NOT_FOUND),
        post=signed_in(WRONG_METHOD),
        args=lambda cast: {
            **sitting(cast),
            "public_id": "00000000-0000-4000-8000-000000000000",
            "size": "small",
        },
    ),
    "seminars:cards": Row(
        get=at_the_front(OK), post=at_the_front(FORM_AGAIN), args=sitting
    ),
    "seminars:sitting-turn": Row(
        get=NO_GET, post=at_the_front(ELSEWHERE), args=sitting
    ),
    "seminars:guest-erase": Row(get=signed_in(ELSEWHERE), post=signed_in(ELSEWHERE)),
    "seminars:roster-import": Row(
        get=at_the_front(OK), post=at_the_front(FORM_AGAIN), args=announced
    ),
    "seminars:roster-file": Row(
        get=at_the_front(OK), post=signed_in(WRONG_METHOD), args=announced
    ),
    "seminars:roster": Row(
        get=at_the_front(OK), post=at_the_front(FORM_AGAIN), args=announced
    ),
    "seminars:place": Row(
        get=at_the_front(OK),
        post=at_the_front(FORM_AGAIN),
        args=lambda cast: {"pk": cast.seminar.pk, "number": cast.place.pk},
        data=lambda cast: {"do": "person"},
    ),
    "seminars:place-do": Row(get=NO_GET, post=at_the_front(ELSEWHERE), args=place_step),
    "seminars:stay-correct": Row(
        get=at_the_front(OK), post=at_the_front(FORM_AGAIN), args=stay
    ),
    # after a seminar
    "seminars:certificate-check": Row(
        get=everybody(OK),
        post=everybody(WRONG_METHOD),
        args=lambda cast: {"code": cast.certificate.code},
    ),
    "seminars:certificates": Row(
        get=organisers(OK), post=signed_in(WRONG_METHOD), args=over
    ),
    "seminars:certificates-issue": Row(
        get=NO_GET, post=organisers(ELSEWHERE), args=over
    ),
    "seminars:emblem": Row(get=NO_GET, post=organisers(ELSEWHERE), args=over),
    "seminars:certificates-pdf": Row(
        get=organisers(OK),
        post=signed_in(WRONG_METHOD),
        args=lambda cast: {"pk": cast.certificate.seminar_id},
    ),
    "seminars:certificate-pdf": Row(
        get=organisers(OK), post=signed_in(WRONG_METHOD), args=certificate
    ),
    "seminars:certificate-withdraw": Row(
        get=organisers(OK), post=organisers(FORM_AGAIN), args=certificate
    ),
    "seminars:my-certificate": Row(
        get=owner(OK),
        post=signed_in(WRONG_METHOD),
        args=lambda cast: {"pk": cast.certificate.seminar_id},
    ),
    "seminars:papers": Row(
        get=organisers(OK), post=signed_in(WRONG_METHOD), args=announced
    ),
    "seminars:paper": Row(
        get=organisers(OK),
        post=signed_in(WRONG_METHOD),
        args=lambda cast: {"pk": cast.seminar.pk, "which": "roster"},
    ),
    "seminars:class-paper": Row(
        get=organisers(OK),
        post=signed_in(WRONG_METHOD),
        args=lambda cast: {**sitting(cast), "which": "cards"},
    ),
    "seminars:report": Row(get=organisers(OK), post=signed_in(WRONG_METHOD), args=over),
    "seminars:report-pdf": Row(
        get=organisers(OK), post=signed_in(WRONG_METHOD), args=over
    ),
    "seminars:report-xlsx": Row(
        get=organisers(OK), post=signed_in(WRONG_METHOD), args=over
    ),
    "seminars:report-csv": Row(
        get=organisers(OK),
        post=signed_in(WRONG_METHOD),
        args=lambda cast: {**over(cast), "which": "attendance"},
    ),
    "seminars:feedback": Row(get=owner(OK), post=owner(ELSEWHERE), args=over),
    "seminars:practice": Row(get=owner(OK), post=owner(ELSEWHERE), args=over),
    "seminars:remind": Row(
        get=organisers(OK), post=organisers(ELSEWHERE), args=announced
    ),
    # assessments
    "quizzes:assessment-list": Row(get=signed_in(OK)),
    "quizzes:assessment": Row(get=members(OK), args=assessment),
    "quizzes:assessment-begin": Row(
        get=NO_GET, post=members(ELSEWHERE), args=assessment
    ),
    "quizzes:try": Row(get=owner(OK), args=a_try),
    "quizzes:try-hand-in": Row(get=owner(OK), post=owner(ELSEWHERE), args=a_try),
    "quizzes:assessments-manage": Row(get=signed_in(OK)),
    "quizzes:assessment-new": Row(get=signed_in(OK), post=signed_in(FORM_AGAIN)),
    "quizzes:exercise-keep-back": Row(
        get=NO_GET, post=mentors(ELSEWHERE), args=exercise
    ),
    "quizzes:assessment-manage": Row(get=mentors(OK), args=assessment),
    "quizzes:assessment-edit": Row(
        get=mentors(OK), post=mentors(FORM_AGAIN), args=assessment_draft
    ),
    "quizzes:assessment-add": Row(get=mentors(OK), args=assessment_draft),
    "quizzes:assessment-add-exercise": Row(
        get=NO_GET,
        post=mentors(ELSEWHERE),
        args=assessment_draft,
        data=lambda cast: {"exercise": cast.assessment.items.first().exercise_id},
    ),
    "quizzes:assessment-add-class": Row(
        get=NO_GET, post=mentors(FORM_AGAIN), args=assessment_draft
    ),
    "quizzes:assessment-item-change": Row(
        get=NO_GET,
        post=mentors(ELSEWHERE),
        args=lambda cast: {
            **assessment(cast),
            "item": cast.assessment.items.first().pk,
        },
        data=lambda cast: {"do": "up"},
    ),
    "quizzes:assessment-preview": Row(get=mentors(OK), args=assessment),
    "quizzes:assessment-preview-item": Row(
        get=NO_GET,
        post=mentors(ELSEWHERE),
        args=lambda cast: {
            **assessment(cast),
            "item": cast.assessment.items.first().pk,
        },
    ),
    "quizzes:assessment-state": Row(
        get=NO_GET,
        post=mentors(ELSEWHERE),
        args=assessment,
        data=lambda cast: {"do": "close"},
    ),
    "quizzes:assessment-people": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=assessment,
        data=lambda cast: {
            "person": cast.people["trainee"].pk,
            "minutes": 10,
            "tries": 0,
        },
    ),
    "quizzes:assessment-tries": Row(get=mentors(OK), args=assessment),
    "quizzes:assessment-release": Row(
        get=NO_GET, post=mentors(ELSEWHERE), args=assessment
    ),
    "quizzes:assessment-try": Row(get=mentors(OK), args=a_try),
    "quizzes:try-release": Row(get=NO_GET, post=mentors(ELSEWHERE), args=a_try),
    "quizzes:try-count-late": Row(
        get=NO_GET,
        post=mentors(ELSEWHERE),
        args=lambda cast: {
            "pk": cast.late_attempt.assessment_try_id,
            "attempt": cast.late_attempt.pk,
        },
    ),
    # marking
    "quizzes:marking": Row(get=teachers(OK)),
    "quizzes:marking-mark": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=lambda cast: {"pk": cast.written.pk},
        data=lambda cast: {"points-0": "15", "points-1": "", "version": "0"},
    ),
    "quizzes:placing-draft-plate": Row(get=mentors(OK), args=exercise_dog),
    "quizzes:review": Row(get=signed_in(OK)),
    "quizzes:exercise-new": Row(get=signed_in(OK)),
    "quizzes:class-make": Row(
        get=teachers(OK),
        post=teachers(FORM_AGAIN) | {"mentor": ELSEWHERE, "staff": ELSEWHERE},
        data=lambda cast: {
            "module": cast.module.pk,
            "class_name": "Open dogs",
            "size": "4",
            "sex": "dog",
            "difficulty": "plain",
            "seed": "7",
        },
    ),
    # the library of dogs
    "quizzes:library": Row(get=teachers(OK)),
    "quizzes:library-new": Row(
        get=teachers(OK),
        post=teachers(FORM_AGAIN) | {"mentor": ELSEWHERE, "staff": ELSEWHERE},
        data=lambda cast: {"module": cast.module.pk, "name": "Another dog"},
    ),
    "quizzes:library-dog": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=library_dog,
        data=lambda cast: {"name": "Another name", "sex": "bitch", "version": 1},
    ),
    "quizzes:library-archive": Row(
        get=NO_GET, post=mentors(ELSEWHERE), args=library_dog
    ),
    "quizzes:library-plate": Row(get=mentors(OK), args=library_dog),
    "quizzes:library-photograph": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=lambda cast: {**library_dog(cast), "view": "front"},
        data=lambda cast: {"picture": cast.picture.public_id},
    ),
    "quizzes:library-drawn": Row(
        get=NO_GET,
        post=teachers(FORM_AGAIN) | {"mentor": ELSEWHERE, "staff": ELSEWHERE},
        data=lambda cast: {"place": f"new:{cast.module.pk}", "name": "Another dog"},
    ),
    "quizzes:class-library": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=draft,
        data=lambda cast: {
            "version": cast.draft.version,
            "dog": [cast.library_dog.pk],
        },
    ),
    # drawn dogs
    "quizzes:drawing": Row(get=members(OK), args=kept_drawing),
    "quizzes:workbench": Row(get=teachers(OK)),
    "quizzes:workbench-plate": Row(get=teachers(OK)),
    "quizzes:workbench-lesson": Row(
        get=NO_GET,
        post=mentors(ELSEWHERE) | {"their mentor": FORM_AGAIN},
        data=lambda cast: {"lesson": cast.lesson.pk, "how": "alone", "view": "side"},
    ),
    "quizzes:lesson-plate": Row(get=mentors(OK), args=lesson_plate),
    "quizzes:workbench-dog": Row(
        get=NO_GET,
        post=teachers(FORM_AGAIN) | {"mentor": ELSEWHERE, "staff": ELSEWHERE},
        data=lambda cast: {"place": f"new:{cast.module.pk}"},
    ),
    "quizzes:workbench-keep": Row(
        get=NO_GET,
        post=teachers(FORM_AGAIN) | {"mentor": ELSEWHERE, "staff": ELSEWHERE},
        data=lambda cast: {
            "name": "An upright blade",
            "view": "side",
            "beside": f"{cast.module.pk}:priority-1",
        },
    ),
    "quizzes:workbench-breed": Row(
        get=NO_GET,
        post=teachers(FORM_AGAIN) | {"mentor": ELSEWHERE, "staff": ELSEWHERE},
        data=lambda cast: {
            "name": "Sallowmere Herder",
            "module": f"module:{cast.module.pk}",
        },
    ),
    "quizzes:build-remove": Row(get=NO_GET, post=mentors(ELSEWHERE), args=build),
    "quizzes:drawing-remove": Row(
        get=NO_GET, post=mentors(ELSEWHERE), args=kept_drawing
    ),
    # a panel of mentors
    "quizzes:panel": Row(get=mentors(OK), post=mentors(ELSEWHERE), args=panel),
    "quizzes:panel-close": Row(get=NO_GET, post=its_mentor(ELSEWHERE), args=panel),
    "quizzes:panel-dogs": Row(get=NO_GET, post=its_mentor(ELSEWHERE), args=panel),
    "quizzes:panel-more": Row(
        get=NO_GET,
        post=its_mentor(ELSEWHERE),
        args=panel,
        data=lambda cast: {"mentors": [cast.people["mentor"].pk]},
    ),
    "quizzes:panel-adopt": Row(
        get=mentors(OK), post=mentors(ELSEWHERE), args=closed_panel
    ),
    "quizzes:panel-key": Row(
        get=its_mentor(OK),
        post=its_mentor(ELSEWHERE),
        args=panel_key,
        data=lambda cast: {"version": 1, "order": "", "do": "place:a"},
    ),
    "quizzes:panel-plate": Row(
        get=its_mentor(OK), args=lambda cast: {**panel_key(cast), "dog": "a"}
    ),
    "quizzes:panel-compare": Row(get=its_mentor(OK), args=panel_key),
    "quizzes:panel-overlay": Row(
        get=its_mentor(OK),
        args=lambda cast: {**panel_key(cast), "first": "a", "second": "b"},
    ),
    "quizzes:paper": Row(get=leaders(OK), post=leaders(FORM_AGAIN)),
}

# A photograph that one of the club's mentors has sent and cleared.
PICTURES = {
    "pictures:picture-file": Row(get=members(OK), args=picture_file),
    "pictures:picture-withdraw": Row(
        get=mentors(OK), post=mentors(ELSEWHERE), args=picture
    ),
    "pictures:picture-list": Row(get=teachers(OK)),
    "pictures:picture-new": Row(get=teachers(OK), post=teachers(FORM_AGAIN)),
    "pictures:picture-detail": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=picture,
        data=lambda cast: {"licence": "CC0-1.0"},
    ),
    "pictures:picture-landmarks": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=picture,
        data=lambda cast: {"edition": 1, "facing": "left"},
    ),
    "pictures:picture-change": Row(
        get=mentors(OK),
        post=mentors(ELSEWHERE),
        args=lambda cast: {**picture(cast), "tool": "mirror"},
        data=lambda cast: {"edition": 1, "do": "keep"},
    ),
}

BUNDLES = {
    "quizzes:bundle-import": Row(get=teachers(OK), post=teachers(FORM_AGAIN)),
    "quizzes:bundle-report": Row(
        get=teachers(ELSEWHERE),
        post=teachers(ELSEWHERE),
        args=lambda cast: {"key": "0" * 32},
    ),
    "quizzes:bundle-export": Row(get=mentors(OK), args=module),
    "quizzes:bundle-file": Row(get=mentors(FORM_AGAIN), args=module),
}

TABLE = {**SITE, **ACCOUNT, **CLUBS, **PICTURES, **STUDY, **QUIZZES, **BUNDLES}

# All addresses of the administration have one row: nobody gets in without being staff
# with a second step, which nobody in this table has (tests/views/test_accounts.py).
ADMIN = Row(get=everybody(LOGIN), post=everybody(LOGIN))
ADMIN_APART = {
    "admin:login": Row(
        get=signed_in(REFUSED) | {"staff": ELSEWHERE},
        post=signed_in(REFUSED) | {"staff": ELSEWHERE},
    ),
    "admin:logout": Row(get=signed_in(ELSEWHERE), post=signed_in(ELSEWHERE)),
}
