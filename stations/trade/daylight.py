"""Sunrise, sunset and the end of usable twilight at a farm, from an almanac that needs no network.

Civil dusk, the sun 6 degrees under the horizon, is taken as dark: until then work out of doors can
go on without lamps in clear weather. Woods, hills and cloud make it dark earlier.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from enum import StrEnum

import ephem

from stations.trade.errors import within
from stations.trade.sources import Source, Trust

ALMANAC = Source(
    title="PyEphem (libastro)",
    place="sunrise and sunset at 50 minutes of arc, civil twilight at 6 degrees",
    trust=Trust.COMPUTED,
)
HORIZON = "-0:50"
"""The sun's half width, 16', and the air's bending, 34': the U.S. Naval Observatory's choice."""
CIVIL = "-6"


class Sun(StrEnum):
    """What the sun does on a day."""

    RISES_AND_SETS = "rises_and_sets"
    STAYS_UP = "stays_up"
    STAYS_DOWN = "stays_down"


@dataclass(frozen=True, slots=True, kw_only=True)
class Daylight:
    """A day's light; a time is None where it does not come within half a day of the sun's noon.

    ``dawn`` and ``dusk`` are civil: the sun 6 degrees under the horizon. Times are aware, in the
    zone asked for, to the nearest minute. On a flat horizon they are good to a minute or two, and
    beyond 60 degrees of latitude, where the sun runs along the horizon, to some minutes.
    """

    sun: Sun
    noon: datetime
    dawn: datetime | None
    sunrise: datetime | None
    sunset: datetime | None
    dusk: datetime | None

    @property
    def never_light(self) -> bool:
        """Whether it does not even dawn."""
        return self.sun is Sun.STAYS_DOWN and self.dusk is None

    def is_dark(self, moment: datetime) -> bool:
        """Whether there is no usable daylight then, on this day; civil dusk itself is light.

        Source: ``ALMANAC`` (computed).
        """
        if self.dawn is None or self.dusk is None:
            return self.never_light
        return not self.dawn <= moment <= self.dusk

    def sentence(self) -> str:
        """Say the day's light in words.

        Source: ``ALMANAC`` (computed).
        """
        match self.sun:
            case Sun.STAYS_UP:
                return "The sun does not set on this day."
            case Sun.STAYS_DOWN:
                dusk = f" It is dark by {self.dusk:%H:%M}." if self.dusk else " It stays dark."
                return f"The sun does not rise on this day.{dusk}"
            case Sun.RISES_AND_SETS:
                dusk = f", dark by {self.dusk:%H:%M}" if self.dusk else ", and it does not get dark"
                return f"Sunrise {self.sunrise:%H:%M}, sunset {self.sunset:%H:%M}{dusk}."


def daylight(*, latitude: float, longitude: float, day: date, zone: tzinfo) -> Daylight:
    """The light of one day at one place, at sea level on a flat horizon.

    From the sun's noon of that day, back to its rising and forward to its setting.

    Args:
        latitude: degrees north, -90 to 90.
        longitude: degrees east, -180 to 180.
        day: the calendar day at the farm, 1900 to 2100.
        zone: the farm's time zone.

    Returns: the times, and what the sun does; near the poles some times are None.

    Raises: OutOfRange outside those ranges.

    >>> from zoneinfo import ZoneInfo
    >>> light = daylight(latitude=41.9, longitude=-76.3, day=date(2027, 1, 15),
    ...                  zone=ZoneInfo("America/New_York"))
    >>> light.sentence()
    'Sunrise 07:31, sunset 16:59, dark by 17:30.'
    >>> north = daylight(latitude=69.65, longitude=18.96, day=date(2027, 12, 21),
    ...                  zone=ZoneInfo("Europe/Oslo"))
    >>> north.sun.value, north.sunrise, north.never_light
    ('stays_down', None, False)
    >>> north.sentence()
    'The sun does not rise on this day. It is dark by 13:53.'

    Source: ``ALMANAC`` (computed; compared with a second almanac and published tables in tests).
    """
    within("latitude", latitude, low=-90.0, high=90.0, unit="degrees", rule="daylight")
    within("longitude", longitude, low=-180.0, high=180.0, unit="degrees", rule="daylight")
    within("year", day.year, low=1900, high=2100, unit="AD", rule="daylight")
    farm = _Farm(latitude, longitude, datetime.combine(day, time(12), tzinfo=zone))
    sunrise, sunset = farm.crossings(HORIZON)
    dawn, dusk = farm.crossings(CIVIL)
    up_at_noon = farm.is_up_at_noon()
    sun = Sun.RISES_AND_SETS
    if sunrise is None or sunset is None:
        sun = Sun.STAYS_UP if up_at_noon else Sun.STAYS_DOWN
    return Daylight(
        sun=sun,
        noon=farm.noon.astimezone(zone),
        dawn=dawn and dawn.astimezone(zone),
        sunrise=sunrise and sunrise.astimezone(zone),
        sunset=sunset and sunset.astimezone(zone),
        dusk=dusk and dusk.astimezone(zone),
    )


class _Farm:
    """One place on one day, as the almanac sees it."""

    def __init__(self, latitude: float, longitude: float, midday: datetime) -> None:
        self.place = ephem.Observer()
        self.place.lat, self.place.lon = str(latitude), str(longitude)
        self.place.pressure = 0  # the bending of the air is in HORIZON
        # The sun's noon nearest to noon on the clock: zones may be hours off the sun.
        self.place.date = ephem.Date(midday.astimezone(UTC).replace(tzinfo=None)) - 0.5
        self._noon: float = self.place.next_transit(ephem.Sun())
        self.noon = _moment(self._noon)

    def crossings(self, height: str) -> tuple[datetime | None, datetime | None]:
        """When the sun's middle crosses a height before and after noon; both None if it does not.

        At the edge of the polar day the sun may rise and not set before the next noon; a time
        more than half a day from noon belongs to another day and is None.
        """
        self.place.horizon, self.place.date = height, self._noon
        try:
            rises = self.place.previous_rising(ephem.Sun(), use_center=True)
            sets = self.place.next_setting(ephem.Sun(), use_center=True)
        except ephem.CircumpolarError:
            return None, None
        return (
            _moment(rises) if self._noon - rises <= 0.5 else None,
            _moment(sets) if sets - self._noon <= 0.5 else None,
        )

    def is_up_at_noon(self) -> bool:
        """Whether the sun stands over the horizon at its noon."""
        self.place.date = self._noon
        sun = ephem.Sun(self.place)
        return bool(sun.alt > ephem.degrees(HORIZON))


def _moment(when: float) -> datetime:
    """To the nearest minute, as almanacs print it."""
    exact: datetime = ephem.Date(when).datetime().replace(tzinfo=UTC)
    return (exact + timedelta(seconds=30)).replace(second=0, microsecond=0)
