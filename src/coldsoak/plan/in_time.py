"""What is done by hand in its time: waits and aids as late as they are needed, a cover as soon as something is bare."""

from collections.abc import Callable, Iterable

from coldsoak.plan.moves import Move


def just_in_time(
    moves: list[Move],
    pairs: list[tuple[str, str]],
    actions: tuple[str, ...],
    idle: Callable[[list[Move]], float],
) -> list[Move]:
    """Move waits and work by hand to just before the first move that needs them, where that costs nothing."""
    later: dict[str, set[str]] = {}
    for a, b in pairs:
        later.setdefault(a, set()).add(b)
    order = list(moves)
    for move in reversed(moves):
        if move.action not in actions or move.labels[0] is not None or move.labels[1] is not None:
            continue
        at = order.index(move)
        to, before_wait = _first_needing(order, at, later.get(move.name, set()))
        for place in (to, before_wait):
            if place <= at + 1:
                continue
            moved = [*order[:at], *order[at + 1 : place], move, *order[place:]]
            if place == before_wait or move.action == "wait" or idle(moved) <= idle(order) + 1e-9:
                order = moved
                break
    return order


def _first_needing(order: list[Move], at: int, later: set[str]) -> tuple[int, int]:
    """Return the place just before the first move that needs the one at `at`, and that before a wait on the way there.

    Both are `at` where the lift would have to move for it: the move is passed on over other positions only to where the
    first that needs it has the lift as it was. What is put in by hand is so done up in the same position.
    """
    lifts = [one.labels[2] for one in order[: at + 1] if one.labels[2] is not None]
    wait, away = len(order), False
    for n in range(at + 1, len(order)):
        lift = order[n].labels[2]
        if order[n].name in later:
            fits = not away or (order[at].labels[2] is not None and lift == order[at].labels[2])
            return (n, min(n, wait)) if fits else (at, wait if wait < len(order) else at)
        away = away or (lift is not None and bool(lifts) and lift != lifts[-1])
        if order[n].action == "wait" and not away:
            wait = min(wait, n)
    return at, wait if wait < len(order) else at


def covered_at_once(moves: list[Move], pairs: Iterable[tuple[str, str]], covers: Iterable[str]) -> list[Move]:
    """Put each cover directly behind the last move that must come before it; it takes no tool and no place of the lift."""
    order = list(moves)
    for name in covers:
        cover = next(move for move in order if move.name == name)
        order.remove(cover)
        before = {a for a, b in pairs if b == name}
        order.insert(max((n for n, move in enumerate(order, 1) if move.name in before), default=0), cover)
    return order


def idle_aids(moves: Iterable[Move]) -> frozenset[str]:
    """The aids between whose going in and coming out nothing is done: there is nothing for them to keep."""
    within: set[str] = set()
    idle: set[str] = set()
    for move in moves:
        if move.action == "in":
            within.add(move.key)
        elif move.action == "out":
            idle |= within & {move.key}
        else:
            within.clear()
    return frozenset(idle)
