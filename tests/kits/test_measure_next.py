"""Which readings would settle the verdict: what they are worth, in which order, and that the page comes back."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations
from pathlib import Path
from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.catalogue.database import create
from fitment.catalogue.dictionary import Dimension, dimensions_of, part_kinds
from fitment.catalogue.found import CameWith, FoundPart, FoundVehicle
from fitment.catalogue.importing import import_files
from fitment.cli.main import answer
from fitment.finding import Basis, Use, Verdict
from fitment.joints.registration import Feature
from fitment.kits.kit import Kit
from fitment.kits.kit_file import read_kit
from fitment.kits.measure_next import MeasureNext, decides, entropy, measure_next, measure_next_of
from fitment.kits.measure_next_json import measure_next_object
from fitment.kits.needs import Need, Way
from fitment.kits.plausible import _table, plausible
from fitment.kits.reading_order import Settling
from fitment.kits.tasks import Thing, _minutes, task_of, trial_task
from fitment.kits.worlds import Worlds, worlds_of
from fitment.sheets.measure_text import measure_text
from fitment.shipped import shipped
from fitment.standards.thread_names import parse_thread
from tests.support.good_kit import CAR, SIDES, Mix, good

ROD, END = "NORTH/TR-1", "NORTH/RE-1"
Key = tuple[str, str]


class Shelf(Mix):
    """The mix as a catalogue that also tells what the car came with: nothing."""

    def came_with(self, vehicle: FoundVehicle) -> CameWith:
        return CameWith()


class Shelved(Shelf):
    """The same with the rack in hand, one piece on the shelf."""

    def find(self, reference: str) -> FoundPart:
        return replace(super().find(reference), is_item=reference == "NORTH/RK-1")


class OnTheCar(Shelf):
    """The same with every part of the car's own, so that they can be tried in one another."""

    def came_with(self, vehicle: FoundVehicle) -> CameWith:
        return CameWith(own=frozenset(self.kinds))


def on(shelf: Shelf, mix: Mix) -> Shelf:
    """The mix on another shelf."""
    for name, value in vars(mix).items():
        setattr(shelf, name, value)
    return shelf


def small(mix: Shelf | None = None) -> Shelf:
    """Rack, one tie rod and one rod end for both sides, all threads known and fitting."""
    mix = mix or Shelf()
    mix.kinds |= {CAR: "vehicle", "NORTH/RK-1": "rack", ROD: "tie-rod", END: "rod-end"}
    thread = {"thread": "M14x1.5", "hand": "RH"}
    for side in SIDES:
        mix.set(f"NORTH/RK-1 bar-end.{side}", **thread, sex="female", depth=24.0, wall=5.0, locking="thread locker")
        mix.say(side, tie_rod=ROD, rod_end=END)
    mix.set(f"{ROD} inner", **thread, sex="male", depth=25.0)
    mix.set(f"{ROD} outer", **thread, sex="male", depth=50.0)
    mix.set(f"{END} shank", **thread, sex="female", depth=32.0, wall=5.0)
    mix.say("rack", part="NORTH/RK-1")
    return mix


def kit_of(mix: Mix) -> Kit:
    return read_kit(mix.text().encode(), "small.toml")


def asked(mix: Shelf, minutes: float | None = None, place: str | None = None) -> MeasureNext:
    return measure_next_of(kit_of(mix), mix, minutes, place)


def keys_of(told: MeasureNext) -> list[Key]:
    """What is to be read, without what stands there only for where that cannot be done."""
    return [one.task.key for one in told.readings if not one.step.spare]


@pytest.fixture(scope="module")
def hand() -> MeasureNext:
    mix = small()
    mix.take(f"{ROD} outer", "hand")
    return asked(mix)


def test_one_word_of_two_is_worth_its_bit(hand: MeasureNext) -> None:
    (one,) = hand.readings
    assert one.task.key == (f"{ROD} outer", "hand")
    assert (one.task.tool, one.task.place, one.task.minutes) == ("look", "yard", 1.0)
    assert (hand.fits, hand.entropy, one.worth, one.step.rules_out) == (0.5, 1.0, 1.0, 0.5)
    assert decides(one) == "hand of the threads [thread-02]: left tie rod to rod end, right tie rod to rod end"
    assert {gap.feature for gap in hand.left_out} == {"left knuckle", "right knuckle"}


def test_it_says_that_it_is_for_ranking_only(hand: MeasureNext) -> None:
    text = measure_text(kit_of(small()), hand, None, 80)
    assert "For ranking only: what is not measured was drawn from its plausible range." in " ".join(text.split())
    assert measure_next_object(kit_of(small()), hand)["for_ranking_only"] is True
    assert "rules the kit out in 50 of 100; worth 1 bit per minute" in text


def test_readings_that_decide_only_together_stand_together() -> None:
    mix = small()
    mix.take(f"{ROD} outer", "hand").take(f"{END} shank", "hand")
    told = asked(mix)
    assert sorted(keys_of(told)) == [(f"{END} shank", "hand"), (f"{ROD} outer", "hand")]
    first, second = told.readings[:2]
    assert first.step is second.step
    assert first.worth == second.worth == pytest.approx(told.entropy / 2, abs=0.05)


def test_a_number_is_weighed_by_its_plausible_range() -> None:
    mix = small()
    mix.take(f"{END} shank", "depth")
    told = asked(mix)
    (one,) = told.readings
    assert one.drawn == "15 to 80 mm"
    # one diameter of full thread is asked, beside two turns at its ends: 17 mm
    assert one.step.rules_out == pytest.approx((17 - 15) / (80 - 15), abs=0.02)


def test_what_is_only_said_has_even_odds() -> None:
    mix = small()
    outer = mix.uses[f"{ROD} outer"]
    outer["hand"] = replace(outer["hand"], hearsay=True)
    told = asked(mix)
    assert keys_of(told) == [(f"{ROD} outer", "hand")]
    assert told.fits == 0.5
    assert told.readings[0].drawn == "as said or, as often, any other"


def test_nothing_to_read() -> None:
    told = asked(small())
    assert told.readings == ()
    assert (told.ruled_out, told.entropy) == (False, 0.0)
    wrong = small()
    wrong.set(f"{ROD} outer", hand="LH").take(f"{ROD} inner", "hand")
    told = asked(wrong)
    assert (told.readings, told.ruled_out) == ((), True)
    assert "ruled out already" in measure_text(kit_of(wrong), told, None, 80)


def test_the_same_seed_gives_the_same_ranking() -> None:
    mix = small()
    for feature in (f"{ROD} outer", f"{END} shank"):
        mix.take(feature, "hand", "depth")
    assert asked(mix) == asked(mix)
    assert keys_of(asked(mix)) == keys_of(measure_next_of(kit_of(mix), mix, seed=5))


def many() -> Worlds:
    """Worlds of a kit whose threads can be tried as well as read."""
    mix = small(OnTheCar())
    mix.take(f"{ROD} outer", "hand", "sex", "thread").take(f"{END} shank", "depth").take(f"{ROD} inner", "hand")
    return worlds_of(kit_of(mix), mix, mix.kinds)


WORLDS = many()


def test_a_time_is_filled_and_not_exceeded() -> None:
    for minutes in (0.5, 1, 3, 6, 30):
        told = measure_next(WORLDS, minutes)
        assert told.chosen is not None
        taken = sum(WORLDS.tasks[key].minutes for key in told.chosen)
        assert taken <= minutes
        assert set(told.chosen) <= {one.task.key for one in told.readings}
        assert (minutes < 1) == (not told.chosen)
    for need in WORLDS.needs:
        way = need.told_by(frozenset(told.chosen))
        assert way is not None
        assert way.settles


def test_a_reading_that_no_rule_uses_is_worth_nothing_and_comes_last() -> None:
    feature = Feature(f"{ROD} body", "rod-body")
    value = plausible(feature, "rod-dia")
    assert value is not None
    thing = Thing(ROD, "tie-rod", False, "body", feature)
    worlds = replace(
        WORLDS,
        values={**WORLDS.values, value.key: value},
        tasks={value.key: task_of(thing, value.dimension, None, ()), **WORLDS.tasks},
    )
    told = measure_next(worlds)
    (found,) = (one for one in told.readings if one.task.key == value.key)
    behind = told.readings[told.readings.index(found) :]
    assert {one.worth for one in behind} == {0}
    assert decides(found) == "asked for by a rule that no world came to"
    assert len(told.readings) == len(WORLDS.tasks) + 1


def test_all_together_are_worth_no_more_than_the_entropy() -> None:
    told = measure_next(WORLDS)
    steps = list(dict.fromkeys(one.step for one in told.readings))
    assert all(0 <= step.gain <= told.entropy + 1e-12 for step in steps)
    assert sum(step.gain for step in steps) <= told.entropy * 1.02


def drawn_worlds(chances: list[float], sets: list[tuple[int, ...]], noise: float, seed: int) -> Worlds:
    """Worlds made up: each set of the readings of `WORLDS` fails by chance, and is misread by chance; no trials."""
    draw, keys = np.random.default_rng(seed), [key for key in WORLDS.tasks if key not in WORLDS.trials]
    needs = []
    for chance, members in zip(chances, sets, strict=True):
        fails = draw.uniform(size=(60, 50)) < chance
        seen = fails ^ (draw.uniform(size=fails.shape) < noise)
        way = Way(frozenset(keys[place] for place in members))
        needs.append(Need((way,), fails, seen, fails, {("rule-01", "a joint"): True}))
    return replace(WORLDS, tasks={key: WORLDS.tasks[key] for key in keys}, needs=tuple(needs), trials=frozenset())


CHANCES = st.lists(st.floats(0.02, 0.9), min_size=3, max_size=3)


@given(CHANCES, st.integers(0, 1000))
def test_the_order_is_as_quick_as_any_of_the_same_sets(chances: list[float], seed: int) -> None:
    sets = [(0,), (1, 2), (3, 4)]
    worlds = drawn_worlds(chances, sets, 0.0, seed)
    settling, keys = Settling(worlds), list(worlds.tasks)
    told = settling.expected(keys_of(measure_next(worlds)))
    tried = [settling.expected([keys[place] for members in order for place in members]) for order in permutations(sets)]
    assert told <= min(tried) + 1e-9
    assert max(tried) <= sum(task.minutes for task in worlds.tasks.values()) + 1e-9


def test_expected_minutes_are_counted_world_by_world() -> None:
    worlds = drawn_worlds([0.3, 0.5, 0.2], [(0,), (1, 2), (0, 3)], 0.0, 4)
    order = list(worlds.tasks)
    minutes = np.cumsum([WORLDS.tasks[key].minutes for key in order])
    ends = [(need.fails.ravel(), minutes[max(order.index(key) for key in need.ways[0].keys)]) for need in worlds.needs]
    counted = [
        min([end for fails, end in ends if fails[world]], default=minutes[-1]) for world in range(ends[0][0].size)
    ]
    assert Settling(worlds).expected(order) == pytest.approx(float(np.mean(counted)), rel=1e-12)


def with_trials(seed: int) -> Worlds:
    """Worlds made up, in which a trial stands for some of the readings, or only rules out."""
    draw = np.random.default_rng(seed)
    keys, tried = [key for key in WORLDS.tasks if key not in WORLDS.trials][:4], list(WORLDS.trials)[:2]
    needs = []
    for place, settles in [(0, True), (1, True), (2, False), (3, True)]:
        fails = draw.uniform(size=(60, 50)) < draw.uniform(0.05, 0.6)
        felt = fails & (draw.uniform(size=fails.shape) < 0.7) if not settles else fails
        ways = (Way(frozenset(keys[place : place + 2])), Way(frozenset((tried[place % 2],)), True, settles))
        needs.append(Need(ways[: 2 - (place == 3)], fails, fails, felt, {(f"rule-0{place}", "a joint"): True}))
    tasks = {key: WORLDS.tasks[key] for key in (*keys, *tried)}
    return Worlds({key: WORLDS.values[key] for key in tasks}, tasks, tuple(needs), (), frozenset(tried))


@given(st.integers(0, 1000), st.randoms(use_true_random=False))
def test_minutes_with_trials_are_counted_world_by_world(seed: int, random: Random) -> None:
    worlds = with_trials(seed)
    order = list(worlds.tasks)
    random.shuffle(order)
    taken = []
    for world in range(worlds.needs[0].fails.size):
        read: frozenset[Key] = frozenset()
        clock = found = 0.0
        for key in order:
            of_it = [need for need in worlds.needs if any(key in way.keys for way in need.ways)]
            if all((told := need.told_by(read)) is not None and told.settles for need in of_it):
                continue
            read |= {key}
            clock += worlds.tasks[key].minutes
            ways = [(need, way) for need in worlds.needs for way in need.ways if way.keys <= read]
            if any((need.felt if way.tried else need.fails).ravel()[world] for need, way in ways):
                found = clock
                break
        taken.append(found or clock)
    assert Settling(worlds).expected(order) == pytest.approx(float(np.mean(taken)), rel=1e-12)


@given(st.integers(0, 200))
def test_what_is_recommended_decides_everything_and_what_is_spare_nothing(seed: int) -> None:
    worlds = with_trials(seed)
    told = measure_next(worlds)
    assert sorted(one.task.key for one in told.readings) == sorted(worlds.tasks)
    read = frozenset(keys_of(told))
    for need in worlds.needs:
        way = need.told_by(read)
        assert way is not None
        assert way.settles
    for one in told.readings:
        assert not one.step.spare or one.worth == 0


def test_a_trial_stands_for_what_would_be_read() -> None:
    mix = small(OnTheCar())
    mix.take(f"{ROD} outer", "hand", "sex").take(f"{END} shank", "hand", "sex")
    trial = (f"{ROD} outer", "thread-trial")
    told = asked(mix)
    (one,) = (one for one in told.readings if one.task.key == trial)
    assert (one.task.tool, one.task.place, one.task.minutes) == ("go-gauge", "car", 5.0)
    assert one.drawn == f"pass or fail with {END} shank"
    assert one.task.dimension.how.startswith(f"with {END} shank: ")  # the page says with what
    settling = Settling(worlds_of(kit_of(mix), mix, mix.kinds))
    looks = [key for key in keys_of(told) if key != trial]
    assert len(looks) == 4
    assert settling.expected([trial, *looks]) == 5.0
    assert settling.expected([*looks, trial]) == pytest.approx(settling.expected(looks))
    assert settling.expected(looks) < 5.0  # a look at a time may rule it out sooner


def test_what_a_reading_decides_sooner_leaves_its_trial_over() -> None:
    mix = small(OnTheCar())
    mix.take(f"{ROD} outer", "hand")
    one, instead = asked(mix).readings
    assert one.task.key == (f"{ROD} outer", "hand")
    assert (instead.task.key, instead.step.spare, instead.worth) == ((f"{ROD} outer", "thread-trial"), True, 0)
    assert decides(instead) == "what stands above decides it: only for where that cannot be done"
    assert not measure_next_object(kit_of(mix), asked(mix))["readings"][1]["worth"]


@pytest.mark.parametrize(
    ("items", "on_car", "place"),
    [
        ("", "", None),
        (ROD, "", "yard"),
        (f"{ROD} {END}", "", "bench"),
        ("", ROD, None),
        (ROD, END, "car"),
        ("", f"{ROD} {END}", "car"),
    ],
)
def test_what_is_tried_is_at_hand(items: str, on_car: str, place: str | None) -> None:
    one, other = (
        Thing(name, "tie-rod", name in items.split(), "outer", Feature(f"{name} outer", "thread-end"))
        for name in (ROD, END)
    )
    task = trial_task(one, other, dimensions_of("thread-end")["thread-trial"], on_car.split())
    assert (task.place if task else None) == place
    turned = trial_task(other, one, dimensions_of("thread-end")["thread-trial"], on_car.split())
    assert (turned.place if turned else None) == place


def test_a_trial_by_hand_names_no_thread_but_rules_out_what_does_not_go() -> None:
    mix = small(OnTheCar())
    mix.take(f"{ROD} outer", "thread")
    worlds = worlds_of(kit_of(mix), mix, mix.kinds)
    (need,) = (need for need in worlds.needs if any(rule == "thread-03" for rule, _ in need.rules) and not need.already)
    assert [(way.tried, way.settles) for way in need.ways] == [(False, True), (True, False)]
    assert 0 < need.felt.sum() < need.fails.sum()  # a near match goes fully home
    assert not np.any(need.felt & ~need.fails)
    assert (f"{ROD} outer", "thread") in keys_of(measure_next(worlds))


def test_blueing_stands_for_the_cone_of_the_eye() -> None:
    mix = on(OnTheCar(), good())
    mix.take("NORTH/KN-1 eye", "taper").take("NORTH/KN-2 eye", "taper")
    worlds = worlds_of(read_kit(mix.text().encode(), "good.toml"), mix, mix.kinds)
    assert {worlds.tasks[key].place for key in worlds.trials} == {"car"}
    ways = [need.ways for need in worlds.needs if any(rule == "cone-02" for rule, _ in need.rules)]
    blued = [way for of_need in ways for way in of_need if way.tried]
    assert blued
    assert all(way.settles and {dimension for _, dimension in way.keys} == {"seat-trial"} for way in blued)
    rests = [way.keys for need in worlds.needs for way in need.ways if not way.tried and way.keys & worlds.trials]
    # where the stud seats: by the diameters of the eye, but no longer by its cone
    assert all("taper" not in {dimension for _, dimension in keys} for keys in rests)


@given(CHANCES, st.integers(0, 1000))
def test_a_tool_that_misreads_is_worth_less(chances: list[float], seed: int) -> None:
    sets = [(0,), (1, 2), (3, 4)]
    sure = measure_next(drawn_worlds(chances, sets, 0.0, seed)).readings
    unsure = measure_next(drawn_worlds(chances, sets, 0.2, seed)).readings
    first = sure[0]
    (same,) = (one for one in unsure if one.task.key == first.task.key)
    if unsure[0].task.key == first.task.key:
        assert same.worth < first.worth


@given(st.floats(0, 1))
def test_entropy_is_that_of_a_yes_or_no(share: float) -> None:
    assert 0 <= entropy(share) <= 1
    assert entropy(share) == pytest.approx(entropy(1 - share), abs=1e-9)
    assert entropy(0.5) == 1


def test_a_coarse_reading_is_taken_again_with_a_finer_tool() -> None:
    dimension = dimensions_of("rod-body")["rod-dia"]
    thing = Thing(ROD, "tie-rod", False, "body", Feature(f"{ROD} body", "rod-body"))
    assert dimension.tool == "calliper"
    assert task_of(thing, dimension, None, ()).tool == "calliper"
    assert task_of(thing, dimension, 0.02, ()).tool == "micrometer"
    assert task_of(thing, dimension, 1.0, ()).tool == "calliper"  # a calliper would do, and was not used
    assert task_of(thing, dimension, None, ()).error == 0.05


@pytest.mark.parametrize(
    ("reference", "kind", "is_item", "place"),
    [(ROD, "tie-rod", False, "yard"), (ROD, "tie-rod", True, "bench"), (CAR, "vehicle", False, "car"),
     ("NORTH/KN-1", "knuckle", True, "car")],
)  # fmt: skip
def test_where_a_reading_is_taken(reference: str, kind: str, is_item: bool, place: str) -> None:
    dimension = dimensions_of("rod-body")["rod-dia"]
    thing = Thing(reference, kind, is_item, "body", Feature(f"{reference} body", "rod-body"))
    assert task_of(thing, dimension, None, {"NORTH/KN-1"}).place == place


def test_readings_of_another_place_are_taken_as_read() -> None:
    mix, rack = Shelved(), "NORTH/RK-1 bar-end.left"
    for name, value in vars(small()).items():
        setattr(mix, name, value)
    mix.take(rack, "hand").take(f"{ROD} inner", "hand")
    assert keys_of(asked(mix, place="bench")) == [(rack, "hand")]
    assert keys_of(asked(mix, place="yard")) == [(f"{ROD} inner", "hand")]
    assert asked(mix, place="yard").readings[0].worth > 0
    assert keys_of(asked(mix, place="car")) == []


def test_the_tables_name_what_there_is() -> None:
    tools = {dimension.tool for dimension in all_dimensions()}
    assert tools <= set(_minutes())
    assert all(row.finer in ("", *_minutes()) for row in _minutes().values())
    for (kind, name), row in _table().items():
        dimension = dimensions_of(kind)[name]
        assert dimension.high is None, (kind, name)
        if row.low is not None and row.high is not None:
            assert row.low < row.high
            assert row.unit == dimension.unit
        for word in row.words:
            assert parse_thread(word).thread


def all_dimensions() -> Iterator[Dimension]:
    for kind in part_kinds().values():
        for of in kind.features.values():
            yield from dimensions_of(of).values()


def test_a_cone_is_one_of_those_met_on_steering_and_a_free_word_is_recorded_or_not() -> None:
    cone = plausible(Feature("X stud", "stud"), "taper")
    assert cone is not None
    samples = cone.samples(200, None, np.random.default_rng(1))
    assert set(samples) == set(cone.steps)
    free = plausible(Feature("X body", "adapter-body"), "certificate")
    assert free is not None
    assert [word for word, _ in free.words] == ["recorded", "none"]
    assert plausible(Feature("X mount", "pattern"), "hole-1") is None
    assert plausible(Feature("X stud", "stud"), "no such") is None


def test_a_said_number_is_half_as_said() -> None:
    use = Use("X stud", "large", 15.0, 0.1, "mm", Basis.STATED, hearsay=True)
    value = plausible(Feature("X stud", "stud", {"large": use}), "large")
    assert value is not None
    samples = value.samples(4000, np.full(4000, 15.0), np.random.default_rng(2))
    assert np.mean(samples == 15.0) == pytest.approx(0.5, abs=0.05)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("measure")
    engine = create(f"sqlite:///{folder / 'catalogue.sqlite'}", shop="NORTH")
    import_files(engine, sorted(shipped("demo").glob("*.csv")))
    engine.dispose()
    return folder


def run(demo: Path, kit: str, *more: str) -> int:
    return answer(
        ["measure-next", str(shipped("demo") / f"kits/{kit}.toml"), "--db", str(demo / "catalogue.sqlite"), *more]
    )


def test_the_page_filled_in_is_taken_back_and_settles_the_verdict(
    demo: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    assert run(demo, "hand-unknown", "--print", "--into", str(tmp_path)) == 0
    told = capsys.readouterr().out
    page = tmp_path / "measure-next.txt"
    assert told.splitlines() == [f"written: {page}", f"written: {tmp_path / 'measure-next.html'}"]
    assert "<code>part NORTH/TR-3</code>" in (tmp_path / "measure-next.html").read_text(encoding="utf-8")
    text = page.read_text(encoding="utf-8")
    text = text.replace("sitting ________ who ____ date __________", "sitting yard-9 who AB date 2026-11-24")
    text, count = re.subn(r"(?m)^(outer hand )_+$", r"\1RH", text)
    assert count == 1
    page.write_text(text, encoding="utf-8")
    db = ["--db", str(demo / "catalogue.sqlite")]
    assert answer(["reading", "add", "--from", str(page), *db]) == 0
    assert answer(["check", str(shipped("demo") / "kits/hand-unknown.toml"), *db]) != Verdict.NOT_KNOWN.exit_code
    capsys.readouterr()
    assert run(demo, "hand-unknown") == 0
    assert capsys.readouterr().out == "Hand unknown: no reading that could be taken would settle the verdict further\n"


def test_the_page_of_several_things_has_every_row_and_comes_back_whole(
    demo: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    assert run(demo, "known-in-six", "--print") == 0
    text = capsys.readouterr().out
    assert text.count("________________________\n") == 23
    assert max(map(len, text.splitlines())) <= 80
    assert [line for line in text.splitlines() if line.startswith("part ")] == [
        "part SOUTH/RK-6",
        "part SOUTH/TR-4",
        "part SOUTH/RE-5",
    ]
    text = text.replace("sitting ________ who ____ date __________", "sitting yard-8 who AB date 2026-11-24")
    typed = {"hand": "RH", "sex": "male", "thread": "M14x1.5", "depth": "25"}
    for name, value in typed.items():
        text = re.sub(rf"(?m)^(\S+ {name} )_+$", rf"\g<1>{value}", text)
    words = {"bar-moves": "left", "bar-side": "above", "input": "from behind", "steer-type": "front-steer"}
    for name, value in words.items():
        text = re.sub(rf"(?m)^({name} )_+$", rf"\g<1>{value}", text)
    page = tmp_path / "page.txt"
    page.write_text(text, encoding="utf-8")
    assert answer(["reading", "add", "--from", str(page), "--dry-run", "--db", str(demo / "catalogue.sqlite")]) == 0
    assert len(re.findall(r"SOUTH/", capsys.readouterr().out)) >= 23


@pytest.mark.parametrize(
    ("more", "code", "told"),
    [
        (["--place", "shed"], 2, 'fitment: --place is "shed" [measure-01]\n  allowed: yard, bench, car\n'),
        (["--into", "x"], 2, "fitment: --into goes with --print [usage-21]\n  add --print\n"),
    ],
)
def test_what_is_asked_wrongly(
    more: list[str], code: int, told: str, demo: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    assert run(demo, "hand-unknown", *more) == code
    assert capsys.readouterr().err == told


def test_a_target_that_is_not_there(tmp_path: Path, demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    kit = tmp_path / "kit.toml"
    kit.write_text('name = "N"\ntarget = "NORTH/V-99"\n', encoding="utf-8")
    capsys.readouterr()
    assert answer(["measure-next", str(kit), "--db", str(demo / "catalogue.sqlite")]) == 66
    assert f"{kit}:2:10: no vehicle NORTH/V-99" in capsys.readouterr().err
