"""What is printed on the invoice adds up to the cent, read back from the PDF."""

import io
import json
import re
from decimal import Decimal
from pathlib import Path

import pytest
from babel.numbers import parse_decimal
from pypdf import PdfReader
from tests.record.handover.reading import pages

from coldsoak.errors import InputError
from coldsoak.record.handover import hand_over
from coldsoak.record.handover_measures import Measures
from coldsoak.record.handover_words import Words
from coldsoak.record.job_record import JobRecord


def lines_of(pdf: bytes) -> list[str]:
    return [
        line.strip() for page in PdfReader(io.BytesIO(pdf)).pages for line in page.extract_text().split("\n")
    ]


def last_amount(line: str) -> Decimal | None:
    """The amount at the end of a printed line, parsed by the rules of the language it is written in."""
    hit = re.search(r"€?([\d,]+\.\d\d)\s?€?$", line)
    return Decimal(str(parse_decimal(hit[1], locale="en"))) if hit is not None else None


@pytest.mark.parametrize("units", ["si", "us"])
def test_the_total_is_the_sum_of_the_printed_lines(job: JobRecord, logs: Path, units: str) -> None:
    assert job.invoice is not None
    lines = lines_of(hand_over(job, logs, "a4", units).pdf("invoice"))  # type: ignore[arg-type]
    start = next(n for n, line in enumerate(lines) if line.startswith("What"))
    end = next(n for n, line in enumerate(lines) if line.startswith("Total to pay"))
    between = lines[start + 1 : end]
    summed = [line for line in between if not line.startswith("Without tax")]
    amounts = [amount for line in summed if (amount := last_amount(line)) is not None]
    assert len(amounts) == len(job.invoice.lines), "every line is on the paper, once"
    total = last_amount(lines[end])
    assert sum(amounts) == total == job.invoice.total
    (net,) = [last_amount(line) for line in between if line.startswith("Without tax")]
    (tax,) = [last_amount(line) for line in between if line.startswith("Sales tax")]
    assert net is not None
    assert tax is not None
    assert net + tax == total
    # Hand-worked: 19 % of 907.09 are 172.3471, rounded half up to the cent 172.35.
    assert (net, tax) == (Decimal("907.09"), Decimal("172.35"))


@pytest.mark.parametrize(("field", "value"), [("total", "1.00"), ("net", "907.10"), ("tax", "172.34")])
def test_an_invoice_that_does_not_add_up_is_not_printed(job: JobRecord, field: str, value: str) -> None:
    data = json.loads(job.to_json())
    data["invoices"][0]["body"][field] = value
    with pytest.raises(
        InputError,
        match=rf"^the {field} of invoice 2026-2044 is {value}, but its lines add up to [\d.]+: make the invoice anew\.$",
    ):
        hand_over(JobRecord.from_json(json.dumps(data)))


# Unicode CLDR, "Number patterns" of each locale, typed from its charts; blanks are no-break blanks there.
@pytest.mark.parametrize(
    ("locale", "amount", "currency", "written"),
    [
        ("en_US", "1234.5", "USD", "$1,234.50"),
        ("en_US", "-3", "USD", "-$3.00"),
        ("de_DE", "1234.5", "EUR", "1.234,50\xa0€"),
        ("fr_FR", "1234.5", "EUR", "1\u202f234,50\xa0€"),
        ("ja_JP", "1234", "JPY", "¥1,234"),
        ("en_US", "1.005", "KWD", "KWD\xa01.005"),
    ],
)
def test_money_is_written_as_its_language_writes_it(
    locale: str, amount: str, currency: str, written: str
) -> None:
    said = Measures(Words(locale=locale)).money(Decimal(amount), currency)
    assert said.replace("\uffe5", "¥") == written


def test_a_long_invoice_repeats_its_head_and_ends_with_one_total(job: JobRecord) -> None:
    data = json.loads(job.to_json())
    body = data["invoices"][0]["body"]
    extra = [
        {"kind": "parts", "text": f"Shim no. {n}", "quantity": "1", "unit": "piece", "unit_price": "0.10", "amount": "0.10"}
        for n in range(120)
    ]  # fmt: skip
    body["lines"] = extra + body["lines"]
    body["net"] = f"{Decimal(body['net']) + Decimal('12.00')}"
    body["total"] = f"{Decimal(body['total']) + Decimal('12.00')}"
    shown = pages(hand_over(JobRecord.from_json(json.dumps(data))).pdf("invoice"))
    assert len(shown) >= 3
    assert sum("Total to pay" in said for said in shown) == 1
    for said in shown:
        if "Shim" in said:
            assert "Quantity" in said
            assert "Amount" in said
