"""Which channel of a judgement a job is about, in what order the others follow."""

FALSE, WORTH_A_LOOK, FINE = range(3)
NEAREST = ("fluid_temp", "oil_temp", "coolant_temp", "catalyst_temp", "exhaust_temp", "intake_air_temp")


def place(verdict: str, quantity: str, episodes: int, causes: int) -> tuple[int, int, int]:
    """Return the place of a channel among the others, the first one least.

    First what cannot be true; then what cannot be settled and what is truly hot, which both have causes to look for; then
    what is well. Among equals the gearbox fluid comes before its neighbours.

    >>> hot_fluid, odd_coolant = place("believable", "fluid_temp", 0, 5), place("undecided", "coolant_temp", 0, 4)
    >>> hot_fluid < odd_coolant < place("believable", "oil_temp", 0, 0)
    True
    """
    at = NEAREST.index(quantity) if quantity in NEAREST else len(NEAREST)
    if verdict == "not_believable":
        return FALSE, -episodes, at
    return (WORTH_A_LOOK if verdict == "undecided" or causes else FINE), 0, at
