"""Contacts spelled in a few signs, and refusals caught."""

from scoring.rules.contacts import Contact
from scoring.rules.said import Malformed

RAIL = {"b": "bottom", "r": "right", "t": "top", "l": "left"}
BALL = {"1": "red", "2": "yellow"}


def met(sequence):
    """Spell contacts: b r t l are rails, 1 and 2 the object balls, = ties with the one before."""
    contacts, tie = [], False
    for sign in sequence:
        if sign == "=":
            tie = True
            continue
        contacts.append(Contact(ball=BALL.get(sign), rail=RAIL.get(sign), tie=tie))
        tie = False
    return contacts


def refusal(read):
    """Return the Malformed that `read` raises, or None; anything else it raises passes through."""
    try:
        read()
    except Malformed as refused:
        return refused
    return None
