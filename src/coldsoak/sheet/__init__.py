"""What the shop knows: unit sheets, the tool crib and the price list."""

from coldsoak.sheet.crib import Crib
from coldsoak.sheet.load import load_crib, load_prices, load_sheet, parse_sheet
from coldsoak.sheet.prices import PriceList
from coldsoak.sheet.unit import UnitSheet

__all__ = ["Crib", "PriceList", "UnitSheet", "load_crib", "load_prices", "load_sheet", "parse_sheet"]
