"""What can come between two people, or between a phone and the server."""


class Conflict(Exception):
    """The change was not made because something else had been changed first."""


class StaleCoupon(Conflict):
    """The coupon was changed since the version that this change was based on."""


class OtherContent(Conflict):
    """A coupon with this client id exists, and it says something else."""


class ClosedTerm(Conflict):
    """The term is closed: nothing is handed in, graded or changed in it any more."""
