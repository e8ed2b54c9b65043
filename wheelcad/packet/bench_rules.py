"""Where am I? The table of rules that the bench page reckons by: which slips there are, how likely, and their words.

A slip is anything that can happen at a handwheel: the part of a turn forgotten n times, whole turns too many or few,
the slack taken up on the wrong side, a hole miscounted. The explanation with the fewest slips comes first.
"""

from __future__ import annotations

MOST_FORGOTTEN = 12  # times in a row; beyond that nobody can tell it from other slips
MOST_TWICE = 3
MOST_TURNS = 3
MOST_HOLES = 2
CAUSES_SHOWN = 4

# How far each kind of slip is from likely, to which the number of times is added; the least is named first.
SLIPS = {
    "not-turned": 0.5,
    "turns-few": -0.25,
    "turns-many": -0.25,
    "backlash": -0.1,
    "part-forgotten": 0.0,
    "other-cut": 0.25,
    "hole": 0.5,
    "part-forgotten-before": 0.6,
    "other-end": 0.75,
    "part-twice": 1.0,
    "part-and-turns": 2.0,
}

# What each kind is called. {times}: once, twice, 3 times; {turns}: one whole turn, 2 whole turns; {holes}; {cut}.
SAYS = {
    "sound": "You are where you should be.",
    "not-turned": "That is still the last setting: you have not turned on yet.",
    "part-forgotten": "The part of a turn was forgotten {times}.",
    "part-forgotten-before": "You have not turned on yet, and before that the part of a turn was forgotten {times}.",
    "part-twice": "The part of a turn was added {times} too often.",
    "turns-few": "You have turned {turns} too few.",
    "turns-many": "You have turned {turns} too many.",
    "backlash": "You are off by the backlash: the slack was taken up on the wrong side.",
    "hole": "The pin is {holes} off: look at the sector arms.",
    "other-cut": "That is the setting of cut {cut}.",
    "other-end": "The dial was read from its wrong end.",
    "part-and-turns": "The part of a turn was forgotten {times}, and a whole turn was lost or gained as well.",
    "unknown": "No single slip explains this: table or dial may have slipped, or the work has moved.",
}
# What to do. {setting}: where the present cut stands; …-once: on the move to this cut, before anything was cut there.
_AGAIN = "Go back well past {setting} and come up to it again, always turning the same way."
_LOOK = "The cuts made since then stand in the wrong place: look at them before you go on."
_ONCE = (
    "If that was on the way to this cut, no cut is wrong: turn on to {setting}. If you have cut since, look at the cut "
    "before this one first."
)
DO = {
    "sound": "Go on.",
    "not-turned": "Turn on to {setting}.",
    "part-forgotten": _LOOK,
    "part-forgotten-once": _ONCE,
    "part-forgotten-before": _LOOK,
    "part-twice": _AGAIN,
    "turns-few": "Turn on to {setting}; the table's edge tells you which turn it is.",
    "turns-many": _AGAIN,
    "backlash": _AGAIN,
    "hole": _AGAIN,
    "other-cut": "If that cut is the next one to make, tell the page so; if not, go to {setting}.",
    "other-end": "If your dial's numbers fall as you turn on, say so under Settings.",
    "part-and-turns": _LOOK,
    "part-and-turns-once": _ONCE,
    "unknown": "Stop. Bring the first line under the cutter and see what table and dial say before you cut again.",
}

# The limits under the names that the page's script knows them by.
LIMITS = {
    "forgotten": MOST_FORGOTTEN,
    "twice": MOST_TWICE,
    "turns": MOST_TURNS,
    "holes": MOST_HOLES,
    "shown": CAUSES_SHOWN,
}
READING = 1.001  # marks of the dial by which a reading may be off a setting and still be it
