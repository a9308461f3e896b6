"""The days of the invented term and the moments at which coupons are handed in."""

import random
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

WEEKS: Final = 12
LOADED_IN_WEEK: Final = 11
WEEKDAYS: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass(frozen=True, slots=True)
class Calendar:
    """The days of the term, counted back from the day on which it is loaded.

    Nothing happens on that day itself, so that nothing lies in the future at any hour of it.
    """

    today: date
    zone: ZoneInfo

    @property
    def starts_on(self) -> date:
        """The Monday of week 1."""
        return self.today - timedelta(days=self.today.weekday(), weeks=LOADED_IN_WEEK - 1)

    @property
    def ends_on(self) -> date:
        """The Sunday of the last week."""
        return self.starts_on + timedelta(weeks=WEEKS, days=-1)

    @property
    def opened_at(self) -> datetime:
        """The first morning."""
        return self.at(self.starts_on, time(7, 30))

    def at(self, day: date, clock: time) -> datetime:
        """Return a time of day in the school's time zone."""
        return datetime.combine(day, clock, self.zone)

    def shop_days(self, weekdays: list[str]) -> list[date]:
        """Return the days of the term, before today, on which a section is in the shop."""
        wanted = {WEEKDAYS.index(name) for name in weekdays}
        days = (self.starts_on + timedelta(n) for n in range((self.today - self.starts_on).days))
        return [day for day in days if day.weekday() in wanted]


@dataclass(frozen=True, slots=True)
class ShopHours:
    """When a section is in the shop."""

    calendar: Calendar
    days: list[date]
    opens: time
    closes: time

    def closed_at(self, day: date) -> datetime:
        """Return when the shop closes on a day."""
        return self.calendar.at(day, self.closes)

    def moments(self, count: int, chance: random.Random) -> list[datetime]:
        """Return when one student hands in this many coupons; a day or two are missed."""
        days = list(self.days)
        for missed in chance.sample(days[1:-1], chance.randint(0, 2)):
            days.remove(missed)
        each, left = divmod(count, len(days))
        fuller = set(chance.sample(days, left))
        return [
            moment for day in days for moment in self._of_day(day, each + (day in fuller), chance)
        ]

    def _of_day(self, day: date, count: int, chance: random.Random) -> list[datetime]:
        """Spread coupons over a day: each takes its share of the hours to make."""
        opened, closed = self.calendar.at(day, self.opens), self.closed_at(day)
        share = (closed - opened) / max(count, 1)
        return [
            (opened + share * (turn + chance.uniform(0.6, 0.95))).replace(second=0, microsecond=0)
            for turn in range(count)
        ]
