"""Putting a kit together: which parts, which joints, what stays unchecked, and what cannot be put together."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

import fitment.catalogue.dictionary
from fitment.errors import DataFault, Faults, FitmentError, NotFoundFault
from fitment.kits.assembly import Assembly, assemble
from fitment.kits.kit_file import read_kit
from fitment.kits.roles import Join, joins, roles, whole_kit_checks
from tests.kits.fakes import FEATURES, LIMITS, Book, part, stud_kind, thread_kind

HEAD = 'name = "Narrow rack"\ntarget = "NORTH/V-1"\n[rack]\npart = "NORTH/RK-7"\n'
SIDE = 'inner_joint = "NORTH/IJ-1"\ntie_rod = "NORTH/TR-2"\nrod_end = "NORTH/RE-3"\nknuckle = "NORTH/KN-1"\n'
NO_COLUMN = "the kit names no column parts: nothing between column and pinion was checked"
KINDS = {"thread": thread_kind().kind, "stud-in-eye": stud_kind().kind}


def assembled(text: str, book: Book | None = None) -> Assembly:
    return assemble(read_kit(text.encode(), "kit.toml", LIMITS), book or Book(), KINDS)


def faults_of(text: str, book: Book | None = None) -> list[tuple[type[FitmentError], str]]:
    with pytest.raises(FitmentError) as caught:
        assembled(text, book)
    faults = caught.value.faults if isinstance(caught.value, Faults) else (caught.value,)
    return [
        (type(fault), f"{fault.place}: {fault.message} [{fault.code}] {fault.mending}".removeprefix("kit.toml:"))
        for fault in faults
    ]


def ends(assembly: Assembly, side: str) -> list[tuple[str, str, str]]:
    return [(joint.id.removeprefix(f"{side}."), *joint.names) for joint in assembly.joints if joint.side == side]


def test_the_chain_of_a_side_with_an_inner_joint() -> None:
    assert ends(assembled(f"{HEAD}[left]\n{SIDE}"), "left") == [
        ("bar-joint", "NORTH/RK-7 bar-end.left", "NORTH/IJ-1 bar-side"),
        ("joint-rod", "NORTH/IJ-1 rod-side", "NORTH/TR-2 inner"),
        ("rod-end", "NORTH/TR-2 outer", "NORTH/RE-3 shank"),
        ("stud-eye", "NORTH/RE-3 stud", "NORTH/KN-1 eye"),
    ]


def test_without_an_inner_joint_the_rod_screws_to_the_bar() -> None:
    text = HEAD + "[right]\n" + SIDE.replace('inner_joint = "NORTH/IJ-1"\n', "")
    assert ends(assembled(text), "right")[:2] == [
        ("bar-rod", "NORTH/RK-7 bar-end.right", "NORTH/TR-2 inner"),
        ("rod-end", "NORTH/TR-2 outer", "NORTH/RE-3 shank"),
    ]


def test_a_spherical_rod_end_takes_the_place_of_the_rod_end() -> None:
    text = HEAD + "[left]\n" + SIDE.replace('rod_end = "NORTH/RE-3"', 'spherical_rod_end = "NORTH/SR-1"')
    assembly = assembled(text)
    assert [name for name, *_ in ends(assembly, "left")] == ["bar-joint", "joint-rod", "rod-spherical", "bolt-eye"]
    # a link of the steering chain is never left out of the answer
    assert assembly.joints[3].kind is None
    assert "spherical rod end bolted to knuckle eye" not in assembly.not_checked


def test_the_sides_are_separate() -> None:
    right = ends(assembled(f"{HEAD}[left]\n{SIDE}"), "right")
    assert right == [
        ("bar-rod", "NORTH/RK-7 bar-end.right", "right tie rod"),
        ("rod-end", "right tie rod", "right rod end"),
        ("stud-eye", "right rod end", "right knuckle"),
    ]


def test_what_a_joint_lacks_is_a_gap_that_names_the_role() -> None:
    joint = next(joint for joint in assembled(HEAD).joints if joint.id == "left.stud-eye")
    assert [(gap.feature, gap.dimension, gap.why) for gap in joint.gaps] == [
        ("left rod end", "part", "is not named in the kit"),
        ("left knuckle", "part", "is not named in the kit"),
    ]
    assert joint.ends is None


def test_joints_without_a_check_and_checks_of_the_whole_kit_are_listed_as_not_checked() -> None:
    not_checked = assembled(HEAD).not_checked
    unbuilt = [join.title for join in joins() if join.kind not in KINDS and not join.when]
    assert set(not_checked) == {
        *unbuilt,
        *(join.otherwise for join in joins() if join.otherwise),
        *(row.title for row in whole_kit_checks().values()),
    }
    assert not_checked.count("boot on tie rod") == 1
    assert "which way it steers" in not_checked


def test_a_kind_that_is_built_leaves_the_list() -> None:
    kit = read_kit(f'{HEAD}[column]\ncolumn = "NORTH/CO-1"\n'.encode(), "kit.toml", LIMITS)
    splines = replace(KINDS["thread"], name="spline", between=(frozenset({"spline-end"}), frozenset({"spline-end"})))
    assembly = assemble(kit, Book(), {**KINDS, "spline": splines})
    assert "pinion to lower universal joint" not in assembly.not_checked
    assert [joint.id for joint in assembly.joints if not joint.side] == [
        "pinion-joint",
        "joint-shaft",
        "shaft-joint",
        "joint-column",
    ]
    assert [gap.feature for gap in assembly.joints[-1].gaps] == ["upper universal joint"]
    assert NO_COLUMN not in assembly.not_checked


def test_a_kit_without_column_parts_says_once_that_nothing_was_checked_there() -> None:
    kit = read_kit(f"{HEAD}[left]\n{SIDE}".encode(), "kit.toml", LIMITS)
    splines = replace(KINDS["thread"], name="spline", between=(frozenset({"spline-end"}), frozenset({"spline-end"})))
    assembly = assemble(kit, Book(), {**KINDS, "spline": splines})
    assert all(joint.side for joint in assembly.joints)
    assert assembly.not_checked.count(NO_COLUMN) == 1


def test_a_joint_that_may_be_left_out_is_not_checked_where_a_part_is_not_named() -> None:
    boots = replace(KINDS["thread"], name="boot-rod", between=(frozenset({"rod-body"}), frozenset({"boot-body"})))
    kit = read_kit(f'{HEAD}[left]\n{SIDE}boot = "NORTH/BO-1"\n'.encode(), "kit.toml", LIMITS)
    assembly = assemble(kit, Book(), {**KINDS, "boot-rod": boots})
    assert [joint.id for joint in assembly.joints if joint.kind is boots] == ["left.boot-rod"]
    assert "right boot on tie rod: right boot is not named in the kit" in assembly.not_checked


def test_an_adapter_makes_two_joints_with_its_ends_as_the_kit_says() -> None:
    adapter = '[[adapter]]\npart = "NORTH/AD-1"\nbetween = ["left.rod_end", "left.tie_rod"]\nends = ["a", "b"]\n'
    assembly = assembled(f"{HEAD}[left]\n{SIDE}{adapter}")
    assert ends(assembly, "left")[2:4] == [
        ("rod-end.1", "NORTH/TR-2 outer", "NORTH/AD-1 b"),
        ("rod-end.2", "NORTH/AD-1 a", "NORTH/RE-3 shank"),
    ]
    assert assembly.joints[2].title == "left tie rod to adapter NORTH/AD-1"
    assert [part.address for part in assembly.parts][-1] == "adapter.1"


def test_a_sleeve_has_no_check_at_its_outside_and_that_is_no_pass() -> None:
    sleeve = '[[adapter]]\npart = "NORTH/AD-1"\nbetween = ["left.rod_end", "left.knuckle"]\nends = ["bore", "body"]\n'
    joints = {joint.id: joint for joint in assembled(f"{HEAD}[left]\n{SIDE}{sleeve}").joints}
    assert joints["left.stud-eye.1"].kind is KINDS["stud-in-eye"]
    assert joints["left.stud-eye.2"].kind is None


def test_an_adapter_where_no_check_is_built_is_not_checked() -> None:
    text = (
        HEAD + '[column]\nlower_joint = "NORTH/UJ-1"\n'
        '[[adapter]]\npart = "NORTH/AD-1"\nbetween = ["rack", "column.lower_joint"]\nends = ["a", "b"]\n'
    )
    assembly = assembled(text)
    assert [joint.id for joint in assembly.joints if not joint.side] == []
    assert "pinion to lower universal joint" in assembly.not_checked


def test_ends_are_handed_over_in_the_order_that_the_check_wants() -> None:
    turned = replace(KINDS["stud-in-eye"], between=KINDS["stud-in-eye"].between[::-1])
    kit = read_kit(f"{HEAD}[left]\n{SIDE}".encode(), "kit.toml", LIMITS)
    joint = next(joint for joint in assemble(kit, Book(), {"stud-in-eye": turned}).joints if joint.kind is turned)
    assert joint.ends is not None
    assert [end.kind for end in joint.ends] == ["eye", "stud"]


def test_facts_go_to_the_joint_that_they_are_about() -> None:
    facts = 'stud_enters = "below"\nnut = "DIN 935"\nwasher = "2 mm"\n'
    joints = {joint.id: joint.facts for joint in assembled(f"{HEAD}[left]\n{SIDE}{facts}[right]\n{SIDE}").joints}
    assert joints["left.stud-eye"] == {"enters": "below", "nut": "DIN 935", "washer": "2 mm", "side": "left"}
    assert joints["right.stud-eye"] == {"side": "right"}
    assert joints["left.rod-end"] == {"adjuster": "yes", "side": "left"}
    assert joints["left.bar-joint"] == {"side": "left"}


def test_parts_are_named_with_their_roles() -> None:
    parts = assembled(f"{HEAD}[left]\n{SIDE}".replace("RE-3", "RE-3a")).parts
    assert [(part.address, part.role, part.name, part.is_item) for part in parts][3] == (
        "left.rod_end",
        "left rod end",
        "NORTH/RE-3a",
        True,
    )


def test_every_reference_that_is_not_there_is_said_at_once() -> None:
    text = HEAD.replace("V-1", "V-2") + '[left]\ntie_rod = "NORTH/TR-9"\n'
    assert faults_of(text) == [
        (NotFoundFault, "2:10: there is no vehicle NORTH/V-2 [catalogue-02] nearest: NORTH/V-1"),
        (
            NotFoundFault,
            "6:11: there is no part NORTH/TR-9 [catalogue-01] nearest: NORTH/TR-2, NORTH/SR-1, NORTH/RK-7",
        ),
    ]


def test_a_part_of_the_wrong_kind_for_its_role() -> None:
    assert faults_of(HEAD + '[left]\nrod_end = "NORTH/TR-2"\n') == [
        (
            DataFault,
            "6:11: NORTH/TR-2 is a tie rod, and cannot be the left rod end [kit-file-16] "
            "name a rod end here; NORTH/TR-2 can be the tie rod",
        )
    ]


def test_an_adapter_of_the_wrong_kind_and_an_end_that_it_has_not() -> None:
    adapter = '[[adapter]]\npart = "{}"\nbetween = ["left.tie_rod", "left.rod_end"]\nends = ["a", "c"]\n'
    assert faults_of(f"{HEAD}[left]\n{SIDE}" + adapter.format("NORTH/RE-3")) == [
        (
            DataFault,
            "11:8: NORTH/RE-3 is a rod end, and cannot be the adapter [kit-file-16] "
            "name an adapter here; NORTH/RE-3 can be the rod end",
        )
    ]
    assert faults_of(f"{HEAD}[left]\n{SIDE}" + adapter.format("NORTH/AD-1")) == [
        (DataFault, '13:8: NORTH/AD-1 has no end "c" [kit-file-18] allowed: a, b, body, bore')
    ]


def test_one_item_cannot_be_in_two_places_but_a_part_can() -> None:
    both = f"{HEAD}[left]\n{SIDE}[right]\n{SIDE}"
    assert len(assembled(both).joints) == 8
    assert faults_of(both.replace("RE-3", "RE-3a")) == [
        (
            DataFault,
            "13:11: NORTH/RE-3a is one piece, and is named twice (first at kit.toml:8:11) [kit-file-17] "
            "name another item here, or the part that it is one of",
        )
    ]


def test_faults_together_exit_with_the_gravest() -> None:
    with pytest.raises(Faults) as caught:
        assembled(HEAD + '[left]\nrod_end = "NORTH/TR-2"\nknuckle = "NORTH/KN-9"\n')
    assert caught.value.exit_code == 66


@pytest.mark.parametrize("join", joins(), ids=lambda join: join.name)
def test_every_join_names_roles_and_features_that_there_are(join: Join) -> None:
    with (Path(fitment.catalogue.dictionary.__file__).parent / "kinds.csv").open(encoding="utf-8") as table:
        features = {
            row["kind"]: {entry.partition(":")[0] for entry in row["features"].split()} for row in csv.DictReader(table)
        }
    for role_name, feature in ((join.role_a, join.feature_a), (join.role_b, join.feature_b)):
        for kind in roles()[role_name].part_kinds:
            for side in ("left", "right"):
                assert feature.format(side=side) in features[kind]
    assert {*join.when, *join.unless} <= set(roles())
    assert not join.otherwise or join.when


def test_the_fake_catalogue_has_the_features_of_the_real_one() -> None:
    with (Path(fitment.catalogue.dictionary.__file__).parent / "kinds.csv").open(encoding="utf-8") as table:
        real = {
            row["kind"]: dict(entry.split(":") for entry in row["features"].split()) for row in csv.DictReader(table)
        }
    for kind, features in FEATURES.items():
        assert features.items() <= real[kind].items()
    assert part("NORTH/X", "boot").features["body"].kind == "boot-body"
