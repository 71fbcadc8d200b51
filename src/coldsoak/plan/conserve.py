"""The proof that nothing is forgotten: what a plan takes off goes back, once, and only after it came off."""

from collections.abc import Iterable

from coldsoak.plan.value import Step

# What ends each beginning.
ENDS = {"off": "on", "open": "close", "in": "out", "drain": "fill"}
BEGINS = {end: begin for begin, end in ENDS.items()}


class NotConservedError(RuntimeError):
    """A plan loses or gains something: a fault of this program, never of a sheet."""


def prove_conserved(steps: Iterable[Step]) -> None:
    """Raise unless every item comes back as often as it goes, in turn, once, and with the same fasteners.

    >>> off = Step(n=1, action="off", item="pan", name="Pan", sentence="Take off the pan.")
    >>> prove_conserved([off])
    Traceback (most recent call last):
    coldsoak.plan.conserve.NotConservedError: pan is off and never on again
    """
    begun: dict[str, Step] = {}
    ended: dict[str, Step] = {}
    for n, step in enumerate(steps, start=1):
        if step.n != n:
            raise NotConservedError(f"step {n} carries the number {step.n}")
        if step.action in ENDS:
            if step.item in begun:
                raise NotConservedError(f"{step.item} is {step.action} twice")
            begun[step.item] = step
        elif step.action in BEGINS:
            first = begun.get(step.item)
            if first is None or first.action != BEGINS[step.action]:
                raise NotConservedError(
                    f"{step.item} is {step.action} and was not {BEGINS[step.action]} before"
                )
            if step.item in ended:
                raise NotConservedError(f"{step.item} is {step.action} twice")
            if first.count != step.count or first.way != step.way:
                raise NotConservedError(f"{step.item} goes back otherwise than it came off")
            ended[step.item] = step
    for item, step in begun.items():
        if item not in ended:
            raise NotConservedError(f"{item} is {step.action} and never {ENDS[step.action]} again")
