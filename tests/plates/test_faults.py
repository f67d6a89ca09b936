"""Every fault moves its own measurement by the stated amount, grows steadily, and leaves the rest alone."""

from itertools import pairwise

import pytest
from shapely.geometry import Polygon
from shapely.ops import unary_union

from quizzes.plates import (
    FAULTS,
    conformation,
    hidden_by_coat,
    measure,
    outline,
    view_box,
)

# fault, measurement, value when mild, value when marked (the design's figures, on the neutral dog)
STATED = [
    ("F1", "layback", 26, 20),
    ("F1", "shoulder_angle", 114, 120),
    ("F2", "arm_to_blade", 0.87, 0.77),
    ("F2", "withers_to_elbow", 0.86, 0.78),
    ("F2", "shoulder_angle", 108, 108),
    ("F3", "upper_arm", 32, 25),
    ("F3", "shoulder_angle", 116, 123),
    ("F3", "elbow_angle", 148, 155),
    ("F4", "length", 1.11, 1.17),
    ("F5", "length", 1.00, 0.97),
    ("F6", "croup", 21, 23.5),
    ("F7", "back", -6.5, -8.5),
    ("F8", "croup_height", 0, 3),
    ("F9", "pelvis", 40, 45),
    ("F9", "croup", 33, 42),
    ("F9", "length", 1.05, 1.05),
    ("F10", "pelvis", 20, 12),
    ("F10", "croup", 9, 4),
    ("F11", "croup", 28, 33),
    ("F12", "croup", 12, 7.5),
    ("F12", "tail_carriage", 36, 72),
    ("F13", "stifle", 145, 156),
    ("F13", "hock", 150, 158),
    ("F14", "stifle", 118, 106),
    ("F14", "hock", 132, 125),
    ("F15", "hock", 130, 122),
    ("F15", "rear_pastern", 10, 18),
    ("F16", "hock_height", 26.8, 29.8),
    ("F16", "stifle", 132, 132),
    ("F17", "pastern", 25, 38),
    ("F18", "pastern", -3, -10),
    ("F18", "elbow_angle", 138, 137),
    ("F19", "length_breastbone", 1.055, 1.035),
    ("F19", "forechest", 0.5, -1.5),
    ("F20", "depth", 45.4, 40.4),
    ("F21", "depth", 53.4, 57.4),
    ("F22", "tuck_up", 14.9, 18.9),
    ("F23", "neck", 33.7, 29.7),
    ("F24", "crest", -2.1, -4.8),
    ("F25", "planes", -2, -4),
    ("F26", "planes", 6, 12),
    ("F26", "stop", 2, 1),
    ("F27", "stop", 1.5, 0.5),
    ("F28a", "muzzle_depth", 8.5, 6.9),
    ("F28b", "muzzle_to_skull", 0.70, 0.45),
    ("F28b", "head_length", 34, 29),
    ("F29a", "jaw", 1.2, 2.5),
    ("F29b", "jaw", -1.5, -3),
    ("R1", "rear_hock", 6.5, 4.0),
    ("R1", "rear_foot", 10.5, 12.0),
    ("R1", "rear_toes", 12, 22),
    ("R2", "rear_hock", 11.5, 14),
    ("R2", "rear_foot", 8.5, 7.5),
    ("R3", "rear_hock", 6, 4.5),
    ("R3", "rear_foot", 6, 4.5),
    ("R4", "front_elbow", 12.5, 15),
    ("R4", "front_foot", 9.5, 8.5),
    ("R5", "front_shoulder", 7, 5.2),
    ("R5", "front_chest", 9.5, 8),
    ("R6", "front_elbow", 13, 16),
    ("R6", "front_chest", 15, 18),
    ("R7", "fore_toes", 15, 30),
    ("R8", "front_elbow", 12, 14),
    ("R8", "front_carpus", 8, 6),
    ("R9", "foot_spread", 4.3, 5.0),
    ("R9", "toe_height", 4.5, 3.2),
    ("R10a", "ribs", 10, 8),
    ("R10b", "ribs", 15, 17.5),
]

# What hangs on the changed part and therefore may change too.
FOLLOWS = {
    "F1": "layback layback_felt shoulder_angle shoulder_angle_felt elbow_behind_blade blade_to_arm_felt neck back loin crest",
    "F2": "arm_to_blade shoulder_angle_felt layback_felt blade_to_arm_felt elbow_behind_blade withers_to_elbow",
    "F3": "upper_arm shoulder_angle shoulder_angle_felt layback_felt blade_to_arm_felt elbow_behind_blade elbow_angle",
    "F4": "length length_breastbone loin balance",
    "F5": "length length_breastbone loin balance",
    "F6": "back loin croup croup_height tail_set tuck_up",
    "F7": "back loin",
    "F8": "back loin croup croup_height balance",
    "F9": "pelvis croup tail_set pelvis_to_thigh loin balance",
    "F10": "pelvis croup tail_set pelvis_to_thigh loin balance",
    "F11": "croup tail_set",
    "F12": "croup tail_set tail_carriage",
    "F13": "stifle hock pelvis_to_thigh balance",
    "F14": "stifle hock pelvis_to_thigh thigh_to_second_thigh balance",
    "F15": "hock rear_pastern balance",
    "F16": "hock_height balance",
    "F17": "pastern",
    "F18": "pastern elbow_angle",
    "F19": "forechest length_breastbone",
    "F20": "depth tuck_up",
    "F21": "depth tuck_up",
    "F22": "tuck_up",
    "F23": "neck",
    "F24": "crest",
    "F25": "planes bridge head_length muzzle_to_skull",
    "F26": "planes bridge stop head_length muzzle_to_skull",
    "F27": "stop",
    "F28a": "muzzle_depth",
    "F28b": "head_length muzzle_to_skull",
    "F29a": "jaw",
    "F29b": "jaw",
    "R1": "rear_hock rear_foot rear_toes rear_stifle",
    "R2": "rear_hock rear_foot rear_toes",
    "R3": "rear_hock rear_foot",
    "R4": "front_elbow front_foot front_carpus fore_toes",
    "R5": "front_shoulder front_elbow front_carpus front_foot front_chest",
    "R6": "front_shoulder front_elbow front_carpus front_foot front_chest",
    "R7": "fore_toes front_carpus",
    "R8": "front_elbow front_carpus front_foot fore_toes",
    "R9": "foot_spread toe_height",
    "R10a": "ribs front_chest",
    "R10b": "ribs front_chest",
}
UNRELATED = {"degrees": 0.5, "ratio": 0.01, "per cent of height": 0.5}


def values(faults, breed="unnamed-dog", **more):
    return {
        name: found.value
        for name, found in measure(conformation(breed, faults, **more)).items()
    }


def test_the_tables_cover_every_fault():
    assert {row[0] for row in STATED} == set(FAULTS) == set(FOLLOWS)


@pytest.mark.parametrize(
    ("code", "name", "mild", "marked"), STATED, ids=[f"{r[0]}-{r[1]}" for r in STATED]
)
def test_a_fault_measures_what_it_states(code, name, mild, marked):
    unit = measure(conformation("unnamed-dog"))[name].unit
    tolerance = 0.006 if unit == "ratio" else 0.5
    assert values({code: 0.5})[name] == pytest.approx(mild, abs=tolerance)
    assert values({code: 1.0})[name] == pytest.approx(marked, abs=tolerance)


@pytest.mark.parametrize("code", FAULTS)
def test_a_fault_leaves_unrelated_measurements_alone(code):
    sound, faulty = measure(conformation("unnamed-dog")), values({code: 1.0})
    allowed = FOLLOWS[code].split()
    moved = {
        n
        for n, found in sound.items()
        if abs(faulty[n] - found.value) > UNRELATED[found.unit]
    }
    assert moved <= set(allowed)


@pytest.mark.parametrize(
    "breed", ["unnamed-dog", "tarnholt-longdrover", "fenmere-waterdog"]
)
@pytest.mark.parametrize(
    ("code", "name"), sorted({(r[0], r[1]) for r in STATED if r[2] != r[3]})
)
def test_a_stronger_fault_measures_stronger(code, name, breed):
    steps = [values({code: k / 8}, breed)[name] for k in range(9)]
    signs = {later > earlier for earlier, later in pairwise(steps)}
    assert len(signs) == 1
    assert len(set(steps)) == 9


def test_none_is_no_fault():
    assert values({"F1": 0.0, "R1": 0.0}) == values({})


def test_faults_combine_by_adding_their_parameters():
    both = conformation("unnamed-dog", {"F1": 1.0, "F13": 0.5}).params
    first, second = (
        conformation("unnamed-dog", {"F1": 1.0}).params,
        conformation("unnamed-dog", {"F13": 0.5}).params,
    )
    base = conformation("unnamed-dog").params
    for name in base:
        assert both[name] - base[name] == pytest.approx(
            first[name] + second[name] - 2 * base[name], abs=1e-9
        )


@pytest.mark.parametrize("strength", [-0.1, 1.01])
def test_a_strength_out_of_range_is_refused(strength):
    with pytest.raises(ValueError, match="strength of F1"):
        conformation("unnamed-dog", {"F1": strength})


def test_an_unknown_fault_is_refused():
    with pytest.raises(KeyError):
        conformation("unnamed-dog", {"F99": 0.5})


def test_two_faces_of_a_fault_have_a_common_name():
    assert values({"F28": 1.0}) == values({"F28a": 1.0})


def test_build_and_sex_leave_the_angles_alone():
    dog, bitch = values({}), values({}, sex="bitch")
    for name in (
        "layback",
        "shoulder_angle",
        "stifle",
        "hock",
        "pelvis",
        "pastern",
        "length",
    ):
        assert bitch[name] == pytest.approx(dog[name], abs=1e-9)
    assert bitch["muzzle_depth"] < dog["muzzle_depth"]


def silhouette(dog):
    return unary_union([Polygon(shape) for shape in outline(dog)]).exterior


@pytest.mark.parametrize("breed", ["unnamed-dog", "marlefell-drover"])
@pytest.mark.parametrize(
    "code", [code for code, fault in FAULTS.items() if fault.view == "side"]
)
def test_a_side_fault_shows_in_the_silhouette_at_phone_width(code, breed):
    """Largest shift of the outline on a plate 320 px wide; shapely's Hausdorff distance is the outside measure."""
    sound = silhouette(conformation(breed))
    pixel = view_box([conformation(breed)])[2] / 320
    mild, marked = (
        sound.hausdorff_distance(silhouette(conformation(breed, {code: k}))) / pixel
        for k in (0.5, 1.0)
    )
    assert mild >= 3
    assert marked >= 4.5


def test_head_faults_ask_for_a_head_study():
    assert {code for code, fault in FAULTS.items() if fault.in_head} == {
        "F25",
        "F26",
        "F27",
        "F28a",
        "F28b",
        "F29a",
        "F29b",
    }


def test_a_double_coat_hides_what_the_hand_must_find():
    assert "F1" in hidden_by_coat("double")
    assert not hidden_by_coat("smooth")
    assert hidden_by_coat("double") <= set(FAULTS)
