"""Trials that could be made for a kit: one end tried in the other, in place of reading both, where both are at hand.

A trial decides a rule where a passed one answers for it whatever is not read. Where only a failed one answers, it can
rule the kit out and no more: by hand a thread that is nearly the other's goes fully home too.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from fitment.catalogue.dictionary import dimensions_of
from fitment.catalogue.found import PartsBook
from fitment.finding import Basis, Finding, Use, Verdict
from fitment.frozen import dataclass
from fitment.joints.kinds import joint_kinds
from fitment.joints.registration import Trial
from fitment.kits.assembly import assemble
from fitment.kits.check import check
from fitment.kits.filled import FilledBook, FilledDraws, Key
from fitment.kits.kit import Kit
from fitment.kits.plausible import DRAWN, Plausible
from fitment.kits.tasks import Task, Thing, trial_task

#: kind of joint -> the trial of its two ends, a row of the dictionary
_TRIAL_OF = {"thread": "thread-trial", "stud-in-eye": "seat-trial", "spline": "spline-trial"}
#: a rule on a joint: id of the joint, code of the rule
At = tuple[str, str]


@dataclass(frozen=True)
class Tried:
    """A trial that could be made.

    Attributes:
        key: the feature that it is noted on, and the dimension.
        against: the other feature.
        joints: ids of the joints between the two.
        task: how it is made.
        decides: the rules for which a passed one answers.
        rules_out: those that only a failed one decides.
    """

    key: Key
    against: str
    joints: tuple[str, ...]
    task: Task
    decides: frozenset[At] = frozenset()
    rules_out: frozenset[At] = frozenset()

    @property
    def told(self) -> Plausible:
        """What is noted of it, in words."""
        feature, dimension = self.key
        return Plausible(
            feature, dimensions_of(self.task.thing.feature.kind)[dimension], told=f"pass or fail with {self.against}"
        )

    def record(self, passed: bool) -> Trial:
        """The trial as if it were made, with contact all round."""
        word = f"{'pass' if passed else 'fail'} with {self.against}"
        use = Use(*self.key, word, None, None, Basis.TRIAL, source=DRAWN, shown=word)
        return Trial(self.key[1], passed, self.against, 1.0 if passed else None, None, use)


def trials_of(
    kit: Kit, book: PartsBook, things: Mapping[str, Thing], open_features: Collection[str], on_car: Collection[str]
) -> dict[Key, Tried]:
    """The trials that would decide a rule which is open now, by their keys.

    Args:
        things: what each feature of the kit belongs to.
        open_features: features of which something is to be read.
        on_car: references of the parts that the vehicle came with.
    """
    made: dict[Key, Tried] = {}
    for joint in assemble(kit, book, joint_kinds()).joints:
        name = _TRIAL_OF.get(joint.kind.name) if joint.kind and joint.ends else None
        pair = joint.names
        if name is None or not all(one in things for one in pair) or not any(one in open_features for one in pair):
            continue
        for own, other in (pair, pair[::-1]):
            key = (own, name)
            if key not in made:
                task = trial_task(things[own], things[other], dimensions_of(things[own].feature.kind)[name], on_car)
                if task is not None:
                    made[key] = Tried(key, other, (joint.id,), task)
                break
            if made[key].against == other:
                one = made[key]
                made[key] = Tried(key, other, (*one.joints, joint.id), one.task)
                break
    return _deciding(kit, book, made)


def _deciding(kit: Kit, book: PartsBook, made: dict[Key, Tried]) -> dict[Key, Tried]:
    """The trials with the rules that they decide as things stand; those that decide none are left out."""
    now, passed, failed = (_verdicts(kit, book, made.values(), outcome) for outcome in (None, True, False))
    found = {}
    for key, one in made.items():
        of_it = [at for at, verdict in now.items() if at[0] in one.joints and verdict is Verdict.NOT_KNOWN]
        decides = frozenset(at for at in of_it if passed.get(at, Verdict.NOT_KNOWN) is not Verdict.NOT_KNOWN)
        rules_out = frozenset(at for at in of_it if failed.get(at) is Verdict.DOES_NOT_FIT) - decides
        if decides or rules_out:
            found[key] = Tried(key, one.against, one.joints, one.task, decides, rules_out)
    return found


def _verdicts(kit: Kit, book: PartsBook, made: Collection[Tried], outcome: bool | None) -> dict[At, Verdict]:
    records = {} if outcome is None else recorded(made, outcome)
    report = check(kit, FilledBook(book, {}, records), FilledDraws(100, 1, {}))
    worst: dict[At, Verdict] = {}
    for joint in report.joints:
        for finding in joint.findings:
            at = joint.id, finding.rule
            worst[at] = min(worst.get(at, finding.verdict), finding.verdict, key=lambda verdict: verdict.rank)
    return worst


def recorded(made: Collection[Tried], passed: bool) -> dict[str, tuple[Trial, ...]]:
    """The trials as if all were made with one outcome, by the feature that each is noted on."""
    found: dict[str, tuple[Trial, ...]] = {}
    for one in made:
        found[one.key[0]] = (*found.get(one.key[0], ()), one.record(passed))
    return found


def felt(finding: Finding) -> bool:
    """Whether a trial shows that a rule fails: not where the two go fully home all the same."""
    binds, engaged = (finding.figures.get(name) for name in ("turns_to_bind_min", "turns_engaged"))
    return engaged is None or (binds is not None and binds.value < engaged.value)
