"""How quick the poses of a double wishbone with tie rod are, against numpy's own operations and a root finder.

    .venv/bin/python benchmarks/geometry.py [--poses N] [--rounds N]

Floor: what a pose's operations cost at the rates of numpy's in the same run, with a block's arrays in the cache. FORM
counts by hand what the closed form asks for; what the code really does is counted by an array that counts, and priced
alike. Arrays are taken in blocks of 16,384 poses, each pose with its axis, upright, nearness of both links to
dead centre, spin axis and wheel centre. The root finder is scipy's fsolve on six lengths: upper ball and arm's eye for
the same arm angle and bar. All in processor time; the rounds take turns, and their median counts.
"""

from __future__ import annotations

import argparse
import math
import os
import statistics
import sys
import time
from collections import Counter
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, ClassVar

import numpy as np
from scipy.optimize import fsolve

sys.path.insert(0, str(Path(__file__).parents[1]))

from fitment.geometry.frames import Vector
from fitment.geometry.hold import Rod
from fitment.geometry.steering import Steering, wheels
from fitment.geometry.suspension import Corner, Wishbones
from fitment.geometry.upright import WheelPose, at_arm_angle, at_travel
from fitment.geometry.wheel import LEFT
from tests.support.corners import corner_of, hardpoints, steering_of

BLOCK = 16_384
#: points of a study's curves, samples of the surveyed points, poses by the root finder
STEPS, SAMPLES, FEW = 15, 501, 100
#: operations of one pose by hand: additions and multiplications, divisions, square roots, sine or cosine
FORM = {
    "arm angle to radians, its sine and cosine": (1, 0, 0, 2),
    "lower ball on its circle: two products and two sums for each coordinate": (12, 0, 0, 0),
    "lower ball in the upper circle's plane, and |D| cos q: three times a + b cos + c sin": (12, 0, 0, 0),
    "|D| squared; where circle and sphere meet, cos² q": (3 + 6, 1, 1, 0),
    "upper ball's two coordinates in its plane": (6, 0, 0, 0),
    "steering axis: three products and three sums for each coordinate": (18, 0, 0, 0),
    "inner ball from lower ball, its part along the axis, its square": (3 + 5 + 5, 0, 0, 0),
    "|D| cos q and |D| squared; where circle and sphere meet, cos² q": (4 + 2 + 6, 1, 1, 0),
    "D and D' across the axis": (6 + 9, 0, 0, 0),
    "the other two directions of the upright": (9 + 9, 0, 0, 0),
    "spin axis; wheel centre": (15 + 18, 0, 0, 0),
}
PRICED = {
    "add": ("add", "subtract", "negative", "absolute"),
    "multiply": ("multiply", "square"),
    "divide": ("divide", "reciprocal"),
    "sqrt": ("sqrt",),
    "sin": ("sin", "cos"),
    "tan": ("tan",),
    "hypot": ("hypot",),
    "arctan2": ("arctan2",),
    "arccos": ("arccos", "arcsin"),
}


def seconds(work: Callable[[], Any], times: int = 1) -> float:
    """Processor time of one turn of the work."""
    began = time.process_time()
    for _ in range(times):
        work()
    return (time.process_time() - began) / times


def prices() -> dict[str, float]:
    """Nanoseconds per element of numpy's operations, two inputs and the output in the cache."""
    draw = np.random.default_rng(0)
    first, second, out = draw.uniform(0.1, 0.9, BLOCK), draw.uniform(0.1, 0.9, BLOCK), np.empty(BLOCK)
    taken = {}
    for name in PRICED:
        ufunc = getattr(np, name)
        given = (first, second) if ufunc.nin == 2 else (first,)
        taken[name] = seconds(lambda ufunc=ufunc, given=given: ufunc(*given, out=out), 200) / BLOCK * 1e9
    return taken


class Counted(np.ndarray[Any, Any]):
    """An array that counts the operations on arrays of its size."""

    done: ClassVar[Counter[str]] = Counter()

    def __array_ufunc__(self, ufunc: Any, method: str, *given: Any, **named: Any) -> Any:
        plain = [one.view(np.ndarray) if isinstance(one, Counted) else one for one in given]
        found = np.asarray(getattr(ufunc, method)(*plain, **named))
        Counted.done[ufunc.__name__] += int(found.size == BLOCK)
        return found.view(Counted)


def told(pose: WheelPose) -> tuple[Vector, Vector]:
    """What is asked of a pose."""
    return pose.spin, pose.wheel_centre


def counted(corner: Corner, rod: Rod, arm: Any) -> Counter[str]:
    """What the code does for a pose: operations on arrays, by the names that are priced."""
    inner = Vector(*(one.view(Counted) for one in (rod.inner.x, rod.inner.y, rod.inner.z)))
    told(at_arm_angle(corner, Rod(inner, rod.length, rod.set_from), arm.view(Counted)))
    names = {one: name for name, ones in PRICED.items() for one in ones}
    done = Counter[str]()
    for name, times in Counted.done.items():
        done[names[name]] += times
    return done


def lengths_off(steering: Steering, pose: WheelPose) -> float:
    """How far any link is off its length at the design pose in any pose, mm."""
    links = steering.left.links
    assert isinstance(links, Wishbones)
    lower, upper, eye = pose.upright.lower, pose.upright.point(links.upper_ball), pose.arm_eye
    pairs = [
        (lower - links.lower_front, links.lower_ball - links.lower_front),
        (lower - links.lower_rear, links.lower_ball - links.lower_rear),
        (upper - links.upper_front, links.upper_ball - links.upper_front),
        (upper - links.upper_rear, links.upper_ball - links.upper_rear),
        (upper - lower, links.upper_ball - links.lower_ball),
        (eye - upper, steering.left.arm_eye - links.upper_ball),
        (eye - lower, steering.left.arm_eye - links.lower_ball),
    ]
    off = [now.length() - design.length() for now, design in pairs] + [pose.rod_along.length() - steering.rod_left]
    return max(float(np.max(np.abs(one))) for one in off)


def by_fsolve(corner: Corner, rod: Rod, lower: tuple[float, ...], by_numpy: bool) -> Any:
    """Upper ball and arm's eye that keep six lengths, from where they are at the design pose; shape (6,).

    Args:
        corner, rod: of the wheel.
        lower: where the lower ball stands.
        by_numpy: the six differences by arrays, as one writes them, or by plain numbers.
    """
    links = corner.links
    assert isinstance(links, Wishbones)
    points = (links.upper_front, links.upper_rear, links.upper_ball, corner.arm_eye, links.lower_ball)
    front, rear, ball, eye, low = (_of(one) for one in points)
    inner = tuple(map(float, _of(rod.inner)))
    lengths = [math.dist(*two) for two in ((ball, front), (ball, rear), (ball, low), (eye, low), (eye, ball))]
    lengths.append(float(rod.length))
    fixed, wanted = np.array([front, rear, lower, lower, inner]), np.array(lengths)

    def by_arrays(unknown: Any) -> Any:
        upper, arm = unknown[:3], unknown[3:]
        apart = np.array([upper, upper, upper, arm, arm, arm]) - np.array([*fixed[:4], upper, fixed[4]])
        return np.sqrt((apart * apart).sum(axis=1)) - wanted

    def by_numbers(unknown: Any) -> list[float]:
        numbers = unknown.tolist()
        upper, arm = numbers[:3], numbers[3:]
        ends = ((upper, front), (upper, rear), (upper, lower), (arm, lower), (arm, upper), (arm, inner))
        return [math.dist(*two) - far for two, far in zip(ends, lengths, strict=True)]

    return fsolve(by_arrays if by_numpy else by_numbers, [*ball, *eye])


def study(steering: Steering) -> Callable[[], Any]:
    """A study with doubt: every point in samples, both wheels over bump and over lock."""
    draw = np.random.default_rng(2)

    def shaken(side: str) -> dict[str, Vector]:
        return {name: at + Vector(*draw.normal(0, 0.5, (3, SAMPLES))) for name, at in hardpoints("A")[side].items()}

    left, right = (corner_of(shaken(side), sign) for side, sign in (("left", 1), ("right", -1)))
    sampled = Steering(steering.rack, left, right, steering.rod_left, steering.rod_right)
    row = np.linspace(-50, 50, STEPS)[:, np.newaxis]
    return lambda: (wheels(sampled, row), wheels(sampled, 0.0, row, row))


class Bench:
    """The poses, and what each way to work them out takes, ns per pose."""

    def __init__(self, count: int):
        self.steering, draw = steering_of("A"), np.random.default_rng(1)
        self.corner, self.count = self.steering.left, count
        self.arm, self.bar = draw.uniform(-8, 8, count), draw.uniform(-60, 60, count)
        self.travel = draw.uniform(-50, 50, count)
        self.rod = self.steering.rod(LEFT, self.bar)
        self.blocks = [slice(start, start + BLOCK) for start in range(0, count, BLOCK)]
        self.rods = [self.steering.rod(LEFT, self.bar[one]) for one in self.blocks]
        self.few = [self.steering.rod(LEFT, float(one)) for one in self.bar[:FEW]]
        self.alone = [at_arm_angle(self.corner, rod, float(arm)) for rod, arm in zip(self.few, self.arm, strict=False)]
        study_ = study(self.steering)
        self.works: dict[str, tuple[Callable[[], Any], int, int]] = {
            "blocks": (lambda: self.in_blocks(told), count, 1),
            "bare": (lambda: self.in_blocks(lambda pose: None), count, 1),
            "whole": (lambda: at_arm_angle(self.corner, self.rod, self.arm), count, 1),
            "travel": (lambda: at_travel(self.corner, self.rods[0], self.travel[:BLOCK]), BLOCK, 5),
            "one": (lambda: at_arm_angle(self.corner, self.few[0], 5.0), 1, 3000),
            "one told": (lambda: told(at_arm_angle(self.corner, self.few[0], 5.0)), 1, 3000),
            "one by travel": (lambda: at_travel(self.corner, self.few[0], 25.0), 1, 100),
            "study": (study_, 4 * STEPS * SAMPLES, 1),
            "fsolve": (lambda: self.by_fsolve(True), FEW, 1),
            "fsolve by numbers": (lambda: self.by_fsolve(False), FEW, 1),
        }

    def in_blocks(self, then: Callable[[WheelPose], Any]) -> None:
        for one, rod in zip(self.blocks, self.rods, strict=True):
            then(at_arm_angle(self.corner, rod, self.arm[one]))

    def by_fsolve(self, by_numpy: bool) -> list[Any]:
        lowers = [_of(pose.upright.lower) for pose in self.alone]
        return [by_fsolve(self.corner, rod, lower, by_numpy) for rod, lower in zip(self.few, lowers, strict=True)]

    def run(self, rounds: int) -> tuple[dict[str, float], dict[str, float]]:
        """Medians of the rounds: numpy's prices and the ways' times; a turn before them warms up."""
        priced, taken = [], []
        for _ in range(rounds + 1):
            priced.append(prices())
            taken.append(
                {name: seconds(work, times) / number * 1e9 for name, (work, number, times) in self.works.items()}
            )
        both = [
            {name: statistics.median(one[name] for one in ones[1:]) for name in ones[0]} for ones in (priced, taken)
        ]
        return both[0], both[1]


def _of(point: Vector) -> tuple[Any, Any, Any]:
    return point.x, point.y, point.z


def cost(done: Mapping[str, float], price: dict[str, float]) -> float:
    """Nanoseconds that so many operations of each kind take at numpy's prices."""
    return sum(times * price[name] for name, times in done.items())


def judged(what: str, found: float, goal: float, style: str) -> None:
    """Prints a figure beside its goal: at least so much, or at most where the goal is given as minus."""
    met = found >= goal if goal > 0 else found <= -goal
    bound = "at least" if goal > 0 else "at most"
    print(f"{what}: {found:{style}}  (goal: {bound} {abs(goal):g})  {'ok' if met else 'MISS'}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--poses", type=int, default=1_000_000, help="poses by arrays (default 1000000)")
    parser.add_argument("--rounds", type=int, default=7, help="rounds that count (default 7; at least 5)")
    asked = parser.parse_args()
    rounds, bench = max(5, asked.rounds), Bench(max(asked.poses, BLOCK) // BLOCK * BLOCK)
    load = os.getloadavg()[0]
    price, ns = bench.run(rounds)
    simple, divided, rooted, turned = (sum(row[index] for row in FORM.values()) for index in range(4))
    floor = cost({"add": simple / 2, "multiply": simple / 2, "divide": divided, "sqrt": rooted, "sin": turned}, price)
    done = counted(bench.corner, bench.rods[0], bench.arm[:BLOCK])
    own = cost(done, price)
    print(f"{rounds} rounds, processor time, load {load:.1f}, numpy {np.__version__}")
    print("numpy in cache, ns per element: " + ", ".join(f"{name} {value:.2f}" for name, value in price.items()))
    number = simple + divided + rooted + turned
    print(f"closed form: {number} operations ({simple} + - x, {divided} /, {rooted} roots, {turned} sin or cos)")
    print(f"  floor {floor:.1f} ns per pose, {1000 / floor:.1f} M poses/s")
    print(
        f"{bench.count} poses in blocks of {BLOCK}: {ns['blocks']:.1f} ns per pose, {1000 / ns['blocks']:.1f} M poses/s"
    )
    judged("  floor over time", floor / ns["blocks"], 0.85, ".2f")
    listed = ", ".join(f"{name} {times}" for name, times in done.most_common())
    print(f"  its own {done.total()} operations ({listed}) cost {own:.1f} ns, {own / ns['blocks']:.2f} of its time")
    print(f"  all in one call: {ns['whole']:.1f} ns per pose for axis and upright, without spin axis and wheel centre")
    print(f"  by wheel travel (Newton's steps), one block: {ns['travel']:.0f} ns per pose")
    print(f"fsolve for both balls, 6 equations written with numpy: {ns['fsolve'] / 1000:.0f} µs per pose")
    judged(f"  over axis and upright in blocks, {ns['bare']:.1f} ns", ns["fsolve"] / ns["bare"], 3000, ".0f")
    tuned = ns["fsolve by numbers"] / 1000
    print(f"  written with plain numbers {tuned:.0f} µs: {1000 * tuned / ns['bare']:.0f} times as long")
    pairs = zip(bench.alone, bench.by_fsolve(True), strict=True)
    print(f"  arm's eye differs by up to {max(math.dist(_of(one.arm_eye), found[3:]) for one, found in pairs):.0e} mm")
    judged("one pose by plain numbers, µs", ns["one"] / 1000, -10, ".1f")
    told_one, travelled = ns["one told"] / 1000, ns["one by travel"] / 1000
    print(f"  with spin axis and wheel centre {told_one:.1f}; by wheel travel {travelled:.0f}")
    print(f"study: both wheels, bump and lock, {STEPS} points each, {SAMPLES} samples of every point:")
    poses = 4 * STEPS * SAMPLES
    print(f"  {poses} poses in {ns['study'] * poses / 1e6:.0f} ms, {ns['study']:.0f} ns per pose")
    swept = at_travel(bench.corner, bench.rod, bench.travel)
    judged("links off their lengths, as many poses by travel, mm", lengths_off(bench.steering, swept), -1e-9, ".0e")


if __name__ == "__main__":
    main()
