"""Dirt met in real CSV logs, one kind a test. Expected values: read off the lines written here, by hand."""

from collections.abc import Callable

import numpy as np
import pytest

from coldsoak.logs.log import Log, Unreadable

Reader = Callable[..., Log]
NAN = float("nan")


def values(log: Log, name: str) -> list[float]:
    return log.channel(name).values.tolist()


def assumed(log: Log) -> str:
    return "\n".join(log.provenance.assumed)


def same(got: list[float], expected: list[float]) -> bool:
    return np.array_equal(np.array(got), np.array(expected), equal_nan=True)


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_separators(read: Reader, separator: str) -> None:
    lines = ["Time (s),Engine RPM (rpm),Speed (km/h)", "0,800,0", "1,900.5,12", "2,1000,13"]
    log = read("\n".join(lines).replace(",", separator) + "\n")
    assert log.time_s.tolist() == [0.0, 1.0, 2.0]
    assert values(log, "Engine RPM (rpm)") == [800.0, 900.5, 1000.0]
    assert log.channel("Speed (km/h)").quantity == "vehicle_speed"


def test_decimal_comma(read: Reader) -> None:
    log = read("Zeit (s);Öltemperatur [°C];Motordrehzahl [1/min]\n0,0;80,5;800\n0,5;81,0;850\n1,0;82,5;900\n")
    assert log.time_s.tolist() == [0.0, 0.5, 1.0]
    assert values(log, "Öltemperatur [°C]") == [80.5, 81.0, 82.5]
    assert [c.quantity for c in log.channels] == ["oil_temp", "engine_speed"]
    assert "Numbers are read with a decimal comma." in log.provenance.assumed


def test_decimal_comma_with_thousands_points(read: Reader) -> None:
    log = read("Zeit (s);Drehzahl (rpm)\n0,0;950,5\n0,5;1.250,5\n1,0;12.500\n")
    assert values(log, "Drehzahl (rpm)") == [950.5, 1250.5, 12500.0]


def test_decimal_comma_column_with_a_decimal_point_cell(read: Reader) -> None:
    """12.50 in a file of decimal commas is neither a thousand nor surely a decimal: reported."""
    log = read("Zeit (s);Drehzahl (rpm)\n0,0;950,5\n0,5;12.50\n1,0;960,5\n")
    assert same(values(log, "Drehzahl (rpm)"), [950.5, NAN, 960.5])
    assert log.provenance.unreadable == (Unreadable(3, "Drehzahl (rpm)", "12.50"),)


def test_quoted_decimal_comma_between_commas(read: Reader) -> None:
    log = read('Time (s),Coolant (°C)\n"0,0","80,5"\n"0,5","81,25"\n"1,0","82,0"\n')
    assert log.time_s.tolist() == [0.0, 0.5, 1.0]
    assert values(log, "Coolant (°C)") == [80.5, 81.25, 82.0]


def test_quoted_thousands(read: Reader) -> None:
    log = read('Time (s),"Engine speed (rpm)",Coolant (°C)\n0,"950",80.5\n1,"1,250",80.6\n2,"2,005",80.7\n')
    assert values(log, "Engine speed (rpm)") == [950.0, 1250.0, 2005.0]


def test_trailing_comma_on_every_row_shifts_nothing(read: Reader) -> None:
    log = read("Time (s),RPM (),Coolant ()\n 0.0, 800.0, 80.0,\n 1.0, 810.0, 81.0,\n 2.0, 820.0, 82.0,\n")
    assert [c.name for c in log.channels] == ["RPM ()", "Coolant ()"]
    assert log.time_s.tolist() == [0.0, 1.0, 2.0]
    assert values(log, "Coolant ()") == [80.0, 81.0, 82.0]
    assert not log.provenance.unreadable_count
    assert "too short" not in assumed(log)


def test_trailing_comma_in_header_and_rows(read: Reader) -> None:
    log = read("Time (s),RPM,\n0,800,\n1,810,\n")
    assert [c.name for c in log.channels] == ["RPM"]
    assert values(log, "RPM") == [800.0, 810.0]


def test_trailing_comma_in_the_header_only(read: Reader) -> None:
    log = read("Time (s),RPM,\n0,800\n1,810\n")
    assert values(log, "RPM") == [800.0, 810.0]


def test_a_header_one_name_short_is_refused(read: Reader) -> None:
    with pytest.raises(ValueError, match="names 2 columns but its rows hold 3: give every column a name"):
        read("Time (s),RPM\n0,800,80\n1,810,81\n2,805,81\n")


def test_row_numbers_without_a_name(read: Reader) -> None:
    log = read(",Time (s),RPM\n0,0.0,800\n1,0.5,810\n2,1.0,820\n")
    assert log.time_s.tolist() == [0.0, 0.5, 1.0]
    assert [c.name for c in log.channels] == ["RPM"]
    assert values(log, "RPM") == [800.0, 810.0, 820.0]


def test_blanks_around_names_and_cells(read: Reader) -> None:
    log = read(" Time (s) ,  Coolant temp  (°C) \n 0 , 80.5 \n 1 , 81.5 \n")
    assert log.channels[0].quantity == "coolant_temp"
    assert log.channels[0].values.tolist() == [80.5, 81.5]


@pytest.mark.parametrize(
    "degree", ["°C", "Â°C", "Ã‚Â°C", "\ufffdC", "ºC", "deg C", "degC", "C", "Celsius", "?C"]
)
@pytest.mark.parametrize(
    "form", ["{n} [{u}]", "{n} ({u})", "{n} [{u}] ({u})", "{n}, {u}", "{n} {u}", "{n}_{u}"]
)
def test_celsius_however_it_is_written(read: Reader, degree: str, form: str) -> None:
    header = form.format(n="Coolant temp", u=degree)
    quoted = f'"{header}"'
    log = read(f"Time (s),{quoted}\n0,80\n1,81\n")
    assert log.channels[0].name == header
    assert (log.channels[0].quantity, log.channels[0].unit) == ("coolant_temp", "degC")
    assert "No unit" not in assumed(log)
    assert log.channels[0].values.tolist() == [80.0, 81.0]


@pytest.mark.parametrize("degree", ["°F", "Â°F", "\ufffdF", "degF", "deg F", "F", "Fahrenheit"])
def test_fahrenheit_is_turned_into_celsius(read: Reader, degree: str) -> None:
    """212 °F = 100 °C, 32 °F = 0 °C, -40 °F = -40 °C: NIST SP 811 B.8."""
    log = read(f"Time (s),Coolant temp [{degree}]\n0,212\n1,32\n2,-40\n")
    assert values(log, f"Coolant temp [{degree}]") == pytest.approx([100.0, 0.0, -40.0])


@pytest.mark.parametrize(
    ("header", "cell", "quantity", "expected"),
    [
        ("Vehicle speed (mph)", 60, "vehicle_speed", 96.56064),  # 1 mile = 1.609344 km, exact
        ("MAP (psi)", 14.5, "manifold_pressure", 99.97398),  # NIST SP 811: 6.894757
        ("MAP (bar)", 1.2, "manifold_pressure", 120.0),
        ("MAP (inHg)", 29.92, "manifold_pressure", 101.3207),  # 3.386389 kPa, NIST SP 811
        ("MAF (lb/min)", 1, "air_flow", 7.559873),  # 453.59237 g / 60 s
        ("Engine torque (lbf·ft)", 100, "engine_torque", 135.5818),  # NIST SP 811
        ("Battery voltage (mV)", 12600, "module_voltage", 12.6),
        ("Engine run time (min)", 2, "run_time", 120.0),
    ],
)
def test_other_units(read: Reader, header: str, cell: float, quantity: str, expected: float) -> None:
    log = read(f"Time (s),{header}\n0,{cell}\n1,{cell}\n")
    channel = log.channels[0]
    assert channel.quantity == quantity
    assert channel.values[0] == pytest.approx(expected, rel=1e-6)


def test_units_glued_to_each_cell(read: Reader) -> None:
    log = read(
        "Time (s);Coolant;Load;Speed\n0;82C;34,90%;50 km/h\n1;83C;35,00%;51 km/h\n2;84C;0,50%;52 km/h\n"
    )
    assert values(log, "Coolant") == [82.0, 83.0, 84.0]
    assert values(log, "Load") == [34.9, 35.0, 0.5]
    assert values(log, "Speed") == [50.0, 51.0, 52.0]
    assert log.channel("Coolant").unit == "degC"
    assert not log.provenance.unreadable_count


def test_mixed_units_in_one_column_are_converted_never_mixed(read: Reader) -> None:
    log = read("Time (s),Coolant\n0,82C\n1,212F\n2,84C\n3,85C\n")
    assert values(log, "Coolant") == pytest.approx([82.0, 100.0, 84.0, 85.0])
    assert "degF: converted" in assumed(log)


def test_one_unit_among_numbers_without_is_not_taken_for_all(read: Reader) -> None:
    log = read("Time (s),Coolant\n0,82\n1,212F\n2,84\n3,85\n")
    assert same(values(log, "Coolant"), [82.0, NAN, 84.0, 85.0])
    assert log.provenance.unreadable == (Unreadable(3, "Coolant", "212F"),)


def test_a_glued_unit_of_another_kind_is_unreadable(read: Reader) -> None:
    log = read("Time (s),Coolant (°C)\n0,82\n1,101kPa\n2,84\n")
    assert same(values(log, "Coolant (°C)"), [82.0, NAN, 84.0])
    assert log.provenance.unreadable == (Unreadable(3, "Coolant (°C)", "101kPa"),)


@pytest.mark.parametrize(
    "blank", ["", " ", "-", "--", "---", "n/a", "N/A", "null", "NULL", "NaN", "nan", "None"]
)
def test_blank_cells(read: Reader, blank: str) -> None:
    log = read(f"Time (s),Coolant (°C)\n0,82\n1,{blank}\n2,84\n")
    assert same(values(log, "Coolant (°C)"), [82.0, NAN, 84.0])
    assert log.channels[0].count == 2
    assert log.channels[0].reading_rows.tolist() == [0, 2]
    assert not log.provenance.unreadable_count


@pytest.mark.parametrize(
    "text", ["inf", "-Inf", "Infinity", "1e400", "12x4", "8BUS ERR2", "ERR", "0x1F", "1_000", "1 2", "--5"]
)
def test_foreign_text_in_a_numeric_cell_is_counted_and_reported(read: Reader, text: str) -> None:
    log = read(f"Time (s),Coolant (°C),RPM\n0,82,800\n1,{text},810\n2,84,820\n")
    assert same(values(log, "Coolant (°C)"), [82.0, NAN, 84.0])
    assert values(log, "RPM") == [800.0, 810.0, 820.0]
    assert log.provenance.unreadable == (Unreadable(3, "Coolant (°C)", text),)
    assert log.provenance.unreadable_count == 1


def test_the_line_of_an_unreadable_cell_counts_header_banner_and_blank_lines(read: Reader) -> None:
    log = read("Road test\n\nTime (s),Coolant (°C)\n0,82\n\n1,x9\n2,84\n")
    assert log.provenance.unreadable == (Unreadable(6, "Coolant (°C)", "x9"),)
    assert log.time_s.tolist() == [0.0, 1.0, 2.0]


def test_only_the_first_unreadable_cells_are_kept_but_all_are_counted(read: Reader) -> None:
    rows = "".join(f"{i},{'bad' if i % 2 else 80}\n" for i in range(1000))
    log = read("Time (s),Coolant (°C)\n" + rows)
    assert log.provenance.unreadable_count == 500
    assert len(log.provenance.unreadable) == 200
    assert log.provenance.unreadable[0] == Unreadable(3, "Coolant (°C)", "bad")


def test_rows_too_short(read: Reader) -> None:
    log = read("Time (s),RPM,Coolant (°C)\n0,800,82\n1,810\n2,820,84\n")
    assert values(log, "RPM") == [800.0, 810.0, 820.0]
    assert same(values(log, "Coolant (°C)"), [82.0, NAN, 84.0])
    assert "1 row too short (first: line 3)" in assumed(log)


def test_a_row_too_long_is_not_used_and_reported(read: Reader) -> None:
    """An unquoted decimal comma makes a row too long; which cell is split cannot be told."""
    log = read("Time (s),RPM,Coolant (°C)\n0,800,82\n1,810,5,83\n2,820,84\n")
    assert log.time_s.tolist() == [0.0, 2.0]
    assert values(log, "RPM") == [800.0, 820.0]
    assert log.provenance.unreadable == (Unreadable(3, "(whole row)", "1,810,5,83"),)


def test_the_last_cell_of_a_file_cut_off_in_a_row_is_not_trusted(read: Reader) -> None:
    log = read("Time (s),RPM,Coolant (°C)\n0,800,82\n1,810,83\n2,82")
    assert same(values(log, "RPM"), [800.0, 810.0, NAN])
    assert log.provenance.unreadable == (Unreadable(4, "RPM", "82"),)
    assert log.time_s.tolist() == [0.0, 1.0, 2.0]


def test_a_whole_last_row_without_line_end_is_trusted(read: Reader) -> None:
    log = read("Time (s),RPM,Coolant (°C)\n0,800,82\n1,810,83")
    assert values(log, "Coolant (°C)") == [82.0, 83.0]


def test_two_columns_of_one_name(read: Reader) -> None:
    log = read("Time (s),Speed (km/h),Speed (km/h)\n0,50,51\n1,52,53\n")
    assert [c.name for c in log.channels] == ["Speed (km/h)", "Speed (km/h) (2)"]
    assert values(log, "Speed (km/h) (2)") == [51.0, 53.0]
    assert "Two columns are called 'Speed (km/h)'" in assumed(log)


def test_banner_lines_before_the_header(read: Reader) -> None:
    log = read(
        "Adapter 3, firmware 2\n# started 07:40, cold\n\nTime (s),RPM,Coolant (°C)\n0,800,82\n1,810,83\n2,820,84\n"
    )
    assert [c.quantity for c in log.channels] == ["engine_speed", "coolant_temp"]
    assert log.time_s.tolist() == [0.0, 1.0, 2.0]
    assert "2 lines before the header are skipped." in log.provenance.assumed


def test_units_row_under_the_header(read: Reader) -> None:
    log = read("Time,Coolant temp,Vehicle speed\ns,°F,mph\n0,212,60\n1,212,60\n")
    assert log.channels[0].values.tolist() == pytest.approx([100.0, 100.0])
    assert log.channels[1].values[0] == pytest.approx(96.56064)
    assert log.time_s.tolist() == [0.0, 1.0]


@pytest.mark.parametrize(
    ("mark", "encoding"),
    [
        (b"\xef\xbb\xbf", "utf-8"),
        (b"\xff\xfe", "utf-16-le"),
        (b"\xfe\xff", "utf-16-be"),
        (b"", "latin-1"),
        (b"", "utf-16-le"),
    ],
)
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_encodings_and_line_ends(read: Reader, mark: bytes, encoding: str, end: str) -> None:
    text = end.join(["Time (s),Coolant temp [°C]", "0,80.5", "1,81.5", "2,82.5", ""])
    log = read(mark + text.encode(encoding))
    assert log.channels[0].name == "Coolant temp [°C]"
    assert log.channels[0].unit == "degC"
    assert log.channels[0].values.tolist() == [80.5, 81.5, 82.5]


def test_crlf_mixed_with_lf(read: Reader) -> None:
    log = read(b"Time (s),RPM,Coolant temp (C)\r\n0,800,80\n1,810,81\r\n2,820,82\n3,830,83\r\n")
    assert values(log, "Coolant temp (C)") == [80.0, 81.0, 82.0, 83.0]


def test_a_header_in_the_middle_starts_a_second_trip(read: Reader) -> None:
    text = "Time (s),RPM\n0,800\n1,810\n2,820\nTime (s),RPM\n0,900\n1,910\n"
    log = read(text)
    assert log.trip_rows == (0, 3)
    assert log.time_s.tolist() == [0.0, 1.0, 2.0, 3.0, 4.0]
    assert values(log, "RPM") == [800.0, 810.0, 820.0, 900.0, 910.0]
    assert "The header comes again 1 time" in assumed(log)


def test_a_text_column_is_left_out_and_said(read: Reader) -> None:
    log = read("Time (s),Lamp,RPM\n0,OFF,800\n1,OFF,810\n2,ON,820\n")
    assert [c.name for c in log.channels] == ["RPM"]
    assert "Column 'Lamp' holds text, or numbers too large for a reading: left out." in log.provenance.assumed


def test_numbers_that_begin_late_in_a_text_column_are_found(read: Reader) -> None:
    rows = "".join(f"{i},{'wait' if i < 450 else 80}\n" for i in range(500))
    log = read("Time (s),Coolant (°C)\n" + rows)
    assert log.channels[0].count == 50
    assert log.provenance.unreadable_count == 450


def test_a_column_that_is_blank_for_long(read: Reader) -> None:
    rows = "".join(f"{i},{800 + i},{'' if i < 2000 else 80}\n" for i in range(2100))
    log = read("Time (s),RPM,Coolant (°C)\n" + rows)
    assert log.channel("Coolant (°C)").count == 100


def test_a_foreign_line_in_the_middle_is_no_row(read: Reader) -> None:
    log = read("Time (s),RPM\n0,800\n--- connection lost ---\n1,810\n2,815\n")
    assert log.time_s.tolist() == [0.0, 1.0, 2.0]
    assert log.provenance.unreadable == (Unreadable(3, "Time (s)", "--- connection lost ---"),)


def test_a_quote_that_never_ends_swallows_nothing(read: Reader) -> None:
    log = read('Time (s),RPM\n0,800\n1,"810\n2,820\n3,830\n')
    assert log.time_s.tolist() == [0.0, 1.0, 2.0, 3.0]
    assert values(log, "RPM")[2:] == [820.0, 830.0]


def test_a_header_that_names_more_columns_than_rows_hold(read: Reader) -> None:
    log = read("Time (s),RPM,Coolant (°C),Load (%)\n0,800,80\n1,810,81\n2,820,82\n")
    assert values(log, "Coolant (°C)") == [80.0, 81.0, 82.0]
    assert log.channel("Load (%)").count == 0
    assert (
        "Rows hold 3 cells where the header names 4 columns: 'Load (%)' stay blank." in log.provenance.assumed
    )
