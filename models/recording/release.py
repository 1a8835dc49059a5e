"""When a wait that begins at an instant has passed, to the minute."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from models.axis import local_instant
from models.boat import RoutingWait
from models.cures import MILLION, ShopTemperature, cure_millionths

_DAY = timedelta(days=1)
_LONGEST_DAYS = 366  # a cure that has not ended by then never does


def released_at(
    wait: RoutingWait,
    since: datetime,
    zone_name: str,
    temperature: ShopTemperature | None,
) -> datetime | None:
    """Give the local time from which a wait on the wall clock has passed.

    Parameters
    ----------
    wait : RoutingWait
        Its minimum, and how a cold shop lengthens it (`models.cures`).
    since : datetime
        Naive local time at which it began.
    zone_name : str
        The yard's time zone: a night on which clocks change has 23 or 25 hours.
    temperature : ShopTemperature, optional
        Of the shop.

    Returns
    -------
    datetime or None
        Naive local time; None for a cure that never ends in so cold a shop.
    """
    zone = ZoneInfo(zone_name)
    begun = local_instant(since.date(), since.time(), zone)
    end = begun + timedelta(hours=wait.min_hours)
    activation, reference = wait.activation_kj_per_mol, wait.reference_celsius
    if temperature is not None and activation is not None and reference is not None:
        ripe = _ripe(wait, begun, zone, temperature)
        if ripe is None:
            return None
        end = max(end, ripe)
    return _whole_minute(end.astimezone(zone).replace(tzinfo=None))


def _ripe(
    wait: RoutingWait, begun: datetime, zone: ZoneInfo, temperature: ShopTemperature
) -> datetime | None:
    """Add up minutes at the reference temperature, local day by local day."""
    activation, reference = wait.activation_kj_per_mol, wait.reference_celsius
    assert activation is not None
    assert reference is not None
    left = (wait.data_sheet_min_hours or 0.0) * 60 * MILLION
    at = begun
    for _ in range(_LONGEST_DAYS):
        day = at.astimezone(zone).date()
        midnight = local_instant(day + _DAY, time(0), zone)
        rate = cure_millionths(temperature.on(day), reference, activation)
        minutes = (midnight - at) / timedelta(minutes=1)
        if rate * minutes >= left:
            return at + timedelta(minutes=left / rate if rate else 0.0)
        left -= rate * minutes
        at = midnight
    return None


def _whole_minute(at: datetime) -> datetime:
    rounded = at.replace(second=0, microsecond=0)
    return rounded if rounded == at else rounded + timedelta(minutes=1)
