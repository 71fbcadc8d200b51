"""Which readings make sure of the window: for the thermometer that reads, not only for the one that was planned with."""

from dataclasses import dataclass

from coldsoak.errors import InputError
from coldsoak.fill.expansion import expansion_of
from coldsoak.fill.forecast.temp_window import TempWindow
from coldsoak.fill.thermometer import kinds, thermometer_of
from coldsoak.fill.value import FillPlan
from coldsoak.fill.window import window_of
from coldsoak.sheet.unit import UnitSheet
from coldsoak.web.bay.wording import for_pages


@dataclass(frozen=True)
class Windows:
    """The window of the sheet, and the readings of a thermometer that make sure of it, or why none does."""

    ends: TempWindow | None = None
    sure: TempWindow | None = None
    by: str = ""
    unsure: str = ""

    @property
    def counts(self) -> TempWindow | None:
        """The window that readings are held against, none where they cannot make sure of it."""
        return None if self.unsure else self.sure or self.ends


def windows(
    sheet: UnitSheet | None, plan: FillPlan | None, thermometer: str = "", verdict: str | None = None
) -> Windows:
    """Return the window for the thermometer that reads, of a known kind, or for the one of the plan."""
    if sheet is None or sheet.fluid is None:
        return Windows()
    level = sheet.fluid.level
    ends = TempWindow(low_c=level.low.si, high_c=level.high.si)
    kind = next((one for one in kinds().values() if one.label == thermometer), None)
    window = plan.window if plan is not None else None
    try:
        if kind is not None and kind.judged and verdict == "not_believable":
            thermometer_of(kind.key, sheet, ends.low_c, judged=verdict)
        if window is not None and kind is not None and kind.label != window.thermometer.label:
            used = thermometer_of(kind.key, sheet, window.thermometer.air_c, judged=verdict)
            window = window_of(sheet.fluid, used, expansion_of(sheet.fluid))
    except InputError as error:
        return Windows(ends, unsure=for_pages(str(error)))
    if window is None:
        return Windows(ends)
    by = window.thermometer.label
    if window.from_c is None or window.to_c is None:
        why = (
            f"no reading of the {by} makes sure of the window, {ends}: read the fluid with a surer thermometer "
            "before the plug is opened."
        )
        return Windows(ends, by=by, unsure=why)
    sure = TempWindow(low_c=round(window.from_c, 2), high_c=round(window.to_c, 2))
    return Windows(ends, sure, by)
