"""What a person says of a column goes before what the header says."""

from collections.abc import Callable

import pytest

from coldsoak.errors import InputError, UnitError
from coldsoak.judge.judgement import ChannelJudgement
from coldsoak.logs.log import Log
from coldsoak.logs.mapping import parse_mapping

Reader = Callable[..., Log]
TEXT = "Time (s),Probe 3,Coolant temp\n0,212,80\n1,32,81\n"


def test_a_mapping_gives_quantity_and_unit(read: Reader) -> None:
    """212 °F = 100 °C, 32 °F = 0 °C: NIST SP 811 B.8."""
    channel = read(TEXT, mapping=["Probe 3=fluid_temp[°F]"]).channel("Probe 3")
    assert (channel.quantity, channel.unit) == ("fluid_temp", "degC")
    assert channel.values.tolist() == pytest.approx([100.0, 0.0])


def test_a_mapping_overrides_the_dictionary_and_names_are_compared_loosely(read: Reader) -> None:
    log = read(TEXT, mapping=["  coolant   TEMP = case_temp [degF] "])
    assert log.channel("Coolant temp").quantity == "case_temp"
    assert log.channel("Coolant temp").values[0] == pytest.approx((80 - 32) / 1.8)


def test_a_mapping_without_a_unit_keeps_the_header_s(read: Reader) -> None:
    log = read("Time (s),Probe [°F]\n0,212\n1,32\n", mapping=["Probe [°F]=fluid_temp"])
    assert log.channels[0].quantity == "fluid_temp"
    assert log.channels[0].values.tolist() == pytest.approx([100.0, 0.0])


@pytest.mark.parametrize("text", ["Probe 3", "=fluid_temp", "Probe 3=", "Probe 3=fluid temp", "a=b=c[", ""])
def test_what_is_no_mapping_is_refused(text: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_mapping(text)
    assert "is no mapping: write NAME=QUANTITY[UNIT]" in str(caught.value) or "There is no quantity" in str(
        caught.value
    )


def test_a_name_may_hold_an_equals_sign() -> None:
    assert parse_mapping("a=b=fluid_temp[degF]").name == "a=b"


def test_a_unit_of_another_kind_is_refused() -> None:
    with pytest.raises(
        UnitError, match=r"^'kPa' is no unit of fluid_temp: give one that can be turned into degC\.$"
    ):
        parse_mapping("Probe=fluid_temp[kPa]")


def test_a_column_that_is_not_there_is_named_with_those_that_are(read: Reader) -> None:
    with pytest.raises(
        InputError,
        match=r"There is no column 'Probe 9' in .*log\.csv to map; it has 'Probe 3', 'Coolant temp'\.$",
    ):
        read(TEXT, mapping=["Probe 9=fluid_temp[degF]"])


def test_a_channel_is_found_without_its_unit_where_that_names_one(read: Reader) -> None:
    log = read("time [s],Oil temp [degC],Oil temp [bar],Speed (km/h)\n0,50,2,10\n1,51,2,11\n2,52,2,12\n")
    assert log.channel("speed").name == "Speed (km/h)"
    assert log.channel("Oil temp [bar]").name == "Oil temp [bar]"
    with pytest.raises(InputError, match="'Oil temp \\[degC\\]'"):
        log.channel("oil temp")


def test_a_mapping_takes_the_names_that_a_channel_is_found_by(read: Reader) -> None:
    text = "time [s],Probe [°F],Oil temp [degC],Oil temp [bar]\n0,212,50,2\n1,32,51,2\n"
    assert read(text, mapping=["probe=fluid_temp"]).channel("Probe").quantity == "fluid_temp"
    with pytest.raises(InputError, match="There is no column 'Oil temp'"):
        read(text, mapping=["Oil temp=oil_temp"])


def test_the_second_of_two_columns_of_one_name_is_told_from_the_first(read: Reader) -> None:
    log = read("time [s],Temp [°C],Temp [°C]\n0,20,40\n1,21,41\n2,22,42\n")
    assert log.channel("Temp").values[0] == 20.0
    assert log.channel("Temp (2)").values[0] == 40.0
    titles = [
        ChannelJudgement(
            name=c.name, quantity="other_temp", refresh_s=1, verdict="undecided", sentence=""
        ).title
        for c in log.channels
    ]
    assert titles == ["Temp", "Temp (2)"]
