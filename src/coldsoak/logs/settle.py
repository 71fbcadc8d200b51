"""The unit of a channel that a log was written without, said later."""

from collections.abc import Iterable
from dataclasses import replace

from coldsoak.logs.log import Channel, Log
from coldsoak.logs.mapping import Mapping, mapping_key, parse_mappings
from coldsoak.logs.names import bare_name

KELVIN_A_DEGREE = 5.0 / 9.0


def in_fahrenheit(log: Log) -> Log:
    """Return a log in which the channels whose unit is open are read as °F; they stay open."""

    def read(channel: Channel) -> Channel:
        if channel.unit_settled:
            return channel
        return replace(
            channel,
            values=(channel.values - 32.0) * KELVIN_A_DEGREE,
            resolution=channel.resolution * KELVIN_A_DEGREE,
        )

    return replace(log, channels=tuple(read(channel) for channel in log.channels))


def settle(log: Log, mapping: Iterable[str | Mapping]) -> Log:
    """Return a log in which the channels whose unit was open have the one that `mapping` gives them."""
    said = parse_mappings(mapping)
    by_bare = {mapping_key(bare_name(wanted.name)): wanted for wanted in said.values()}

    def settled(channel: Channel) -> Channel:
        wanted = said.get(mapping_key(channel.name)) or by_bare.get(mapping_key(bare_name(channel.name)))
        if channel.unit_settled or wanted is None or wanted.unit is None:
            return channel
        return replace(
            channel,
            quantity=wanted.quantity.name,
            values=channel.values * wanted.unit.scale + wanted.unit.offset,
            resolution=channel.resolution * wanted.unit.scale,
            unit_settled=True,
            assumed=(),
        )

    channels = tuple(settled(channel) for channel in log.channels)
    return (
        log
        if all(a is b for a, b in zip(channels, log.channels, strict=True))
        else replace(log, channels=channels)
    )
