"""The odd one out of a class."""

import pytest

from quizzes.generator import ModuleFault, WishProblem
from quizzes.generator.findings import finding_for
from tests.generator.material import MODULE_FAULTS, by_id, made

DISQUALIFY = [f for f in MODULE_FAULTS if f.ruling == "disqualify"]
EXCUSE = [f for f in MODULE_FAULTS if f.ruling == "excuse"]


@pytest.mark.parametrize("ruling", ["disqualified", "excused"])
@pytest.mark.parametrize("sex", ["dog", "bitch", "mixed"])
def test_one_dog_has_the_ruling_and_no_place(ruling, sex):
    for seed in range(25):
        one = made(6, "middling", seed, sex=sex, odd_one=ruling)
        (odd,) = one.key["rulings"]
        assert one.key["rulings"][odd]["ruling"] == ruling
        assert one.key["rulings"][odd]["reason"]
        assert odd not in one.key["order"]
        assert len(one.key["order"]) == 5


def test_every_fault_that_rules_a_dog_out_comes_up():
    reasons = set()
    for seed in range(120):
        for odd in ("disqualified", "excused"):
            rulings = made(5, "plain", seed, odd_one=odd).key["rulings"]
            reasons |= {ruling["reason"] for ruling in rulings.values()}
    for fault in DISQUALIFY + EXCUSE:
        known = {reason for _answer, reason in finding_for(fault).odd}
        assert known & reasons, fault.name


@pytest.mark.parametrize("fault", DISQUALIFY + EXCUSE, ids=lambda fault: fault.name)
def test_the_answer_stands_with_the_odd_dog_and_no_other(fault):
    finding = finding_for(fault)
    ruling = "disqualified" if fault.ruling == "disqualify" else "excused"
    for seed in range(8):
        one = made(5, "plain", seed, odd_one=ruling, faults=[fault])
        (odd,) = one.key["rulings"]
        for dog in one.content["dogs"]:
            answers = [a for a, _reason in finding.odd if a in dog[finding.text]]
            assert bool(answers) == (dog["id"] == odd)
            assert (finding.sound in dog[finding.text]) == (dog["id"] != odd)


def test_only_males_are_asked_for_testicles():
    fault = ModuleFault("Want of two testicles", "disqualify")
    for seed in range(25):
        one = made(
            7, "plain", seed, sex="mixed", odd_one="disqualified", faults=[fault]
        )
        dogs = by_id(one.content)
        (odd,) = one.key["rulings"]
        assert dogs[odd]["sex"] == "dog"
        for dog in dogs.values():
            assert ("scrotum" in dog["hands_on"]) == (dog["sex"] == "dog")
    with pytest.raises(WishProblem):
        made(sex="bitch", odd_one="disqualified", faults=[fault])


def test_a_dog_that_can_not_be_gone_over_is_not_gone_over():
    fault = ModuleFault("Cannot be examined", "excuse")
    one = made(5, "plain", 2, odd_one="excused", faults=[fault])
    (odd,) = one.key["rulings"]
    dog = by_id(one.content)[odd]
    assert dog["hands_on"].endswith("not gone over.")
    assert "coat" not in dog["hands_on"].lower()


@pytest.mark.parametrize(
    ("name", "where"), [("Merle coat.", "ringside"), ("Navel hernia", "hands_on")]
)
def test_a_fault_of_no_known_kind_is_told_by_its_name(name, where):
    fault = ModuleFault(name, "disqualify")
    one = made(4, "plain", 5, odd_one="disqualified", faults=[fault])
    (odd,) = one.key["rulings"]
    said = f"{name.rstrip('.')}."
    dogs = by_id(one.content)
    assert one.key["rulings"][odd]["reason"] == said
    assert [dog for dog in dogs if said in dogs[dog][where]] == [odd]


@pytest.mark.parametrize("name", ["Merle coat", "Shyness", "Navel hernia"])
def test_no_sentence_marks_the_odd_dog_by_its_absence(name):
    """What stands with all the others stands with it, or it has its own answer there."""
    fault = ModuleFault(name, "excuse")
    finding = finding_for(fault)
    one = made(6, "plain", 3, odd_one="excused", faults=[fault])
    (odd,) = one.key["rulings"]
    others = [dog for dog in one.content["dogs"] if dog["id"] != odd]
    for text in ("ringside", "hands_on"):
        shared = set.intersection(*(set(dog[text].split(". ")) for dog in others))
        asked = {finding.sound.rstrip(".")} if finding.text == text else set()
        assert {one.rstrip(".") for one in shared} <= asked


@pytest.mark.parametrize("name", ["Shyness", "Attack on a person or a dog"])
def test_a_dog_ruled_out_for_its_manner_can_not_be_managed(name):
    fault = ModuleFault(name, "excuse")
    for seed in range(12):
        one = made(5, "plain", seed, odd_one="excused", faults=[fault])
        (odd,) = one.key["rulings"]
        dog = by_id(one.content)[odd]
        assert dog["levels"]["temper"] == 0
        finding = finding_for(fault)
        assert any(answer in dog[finding.text] for answer, _reason in finding.odd)
        assert "not gone over." in dog["hands_on"].lower()
        assert "found on it" not in dog["hands_on"].lower()


def test_faults_that_only_cost_places_rule_nobody_out():
    faults = [f for f in MODULE_FAULTS if f.ruling in ("place_lower", "withhold")]
    assert made(faults=faults).key["rulings"] == {}
    with pytest.raises(WishProblem, match="disqualified"):
        made(faults=faults, odd_one="disqualified")


def test_the_odd_one_would_mostly_be_placed_well():
    """Or there would be nothing to overlook."""
    high = 0
    for seed in range(60):
        one = made(7, "plain", seed, odd_one="disqualified")
        dogs = by_id(one.content)
        (odd,) = one.key["rulings"]
        merit = sum(dogs[odd]["levels"].values())
        middle = sorted(sum(dogs[i]["levels"].values()) for i in one.key["order"])[3]
        high += merit >= middle - 2
    assert high >= 42


KINDS = {
    "Attack on a person or a dog": "attack",
    "Biting or aggression": "attack",
    "Faulty bite": "jaw",
    "Wry mouth": "jaw",
    "Lameness": "lame",
    "Shyness": "shy",
    "Nervous under judgement": "nervous",
    "Chalk in the coat": "in the coat",
    "Cannot be examined": "examined",
}


@pytest.mark.parametrize("name", KINDS)
def test_causes_are_told_apart_by_name(name):
    assert KINDS[name] in finding_for(ModuleFault(name, "excuse")).words
