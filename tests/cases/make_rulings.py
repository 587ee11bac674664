"""Write rulings.json: `python -m tests.cases.make_rulings`.

The answers are those of scoring.rules itself: the file holds the Python and the JavaScript
validator together and guards both against change; it proves neither. tests/published does that.
"""

import json
import random
from pathlib import Path

from scoring.rules.contacts import BALLS, RAILS, contacts_to_json, parse_contacts
from scoring.rules.disciplines import DISCIPLINES, Discipline
from scoring.rules.rulesets import RULE_SETS, RuleSet
from scoring.rules.rulings import rule
from scoring.rules.said import Malformed
from tests.scoring.rules.spelling import met

FILE = Path(__file__).with_name("rulings.json")
SPELLED = """
    1ltr2 1rbl2 1tlb2 1brt2 1ltl2 1tlt2 1lrl2 1tbt2 1tbl2 1tlr2 1lrt2 1ltb2 1ltrb2 1ltrbl2 1lllll2
    ltr12 lll12 ltr1b2 ltrb12 lt1r2 lt1rb2 l1lt2 l1ltr2 l1tl2 l1tr2 l1rt2 1llt2 1ltt2 12 1l2 1lt2 l12
    l1t2 l1l2 lt12 1 2 l ltr ltr1 1ltr 1l1t1r12 l11l1t2 1ltr2bbb 1ltr=2 1lt2=r 1ltrb=2 1ltr=b=2
    1ltr=2=b 1lt2=r=b 1lt=r2 l=1tr2 1=ltr2 1lt1=r2 ltr1=2 lt1=2=r 1=2 l=t1rb2 t=l1rb2 2ltr1 l2tr1 2=1ltr
"""


def disciplines():
    """Return the disciplines of the cases: the shipped ones, and two of a club's own."""
    three = DISCIPLINES["three-cushion"].to_json()
    own = [
        {
            "code": "two-cushion",
            "name": "Two-cushion",
            "required_cushions": 2,
            "families": ["bank", "two-rail"],
        },
        {
            "code": "five-cushion",
            "name": "Five-cushion",
            "required_cushions": 5,
            "red_first_at_opening": False,
        },
    ]
    return [*DISCIPLINES.values(), *(Discipline.from_json(three | one) for one in own)]


def rule_sets():
    """Return the rule sets of the cases: the presets, and one without a rule for the opening."""
    return [*RULE_SETS.values(), RuleSet.from_json({"code": "free-opening", "opening_red_first": False})]


def circumstances():
    """Yield what a stroke may be judged under, as JSON values: first the spelled, then drawn ones."""
    draw = random.Random(1928)
    for sequence in ["", *SPELLED.split()]:
        contacts = contacts_to_json(met(sequence))
        yield _circumstance(contacts)
        yield _circumstance(contacts, opening=True)
        yield _circumstance(contacts, discipline=draw.choice(["straight-rail", "one-cushion", "two-cushion"]))
        touching = {"touching_rail": "left", "rule_set": draw.choice(["world", "us-reading"])}
        yield _circumstance(contacts, **touching)
    for _ in range(200):
        yield _drawn(draw)


def _circumstance(contacts, **given):
    return {
        "discipline": "three-cushion",
        "cue_ball": "white",
        "contacts": contacts,
        "opening": False,
        "touching_rail": None,
        "touching_ball": None,
        "off_table": [],
        "rule_set": "world",
    } | given


def _drawn(draw):
    cue_ball = draw.choice(["white", "yellow"])
    balls = [ball for ball in BALLS if ball != cue_ball]
    contacts = []
    for place in range(draw.randint(2, 10)):
        contact = draw.choice(
            [{"ball": draw.choice(balls)}, {"rail": draw.choice(RAILS)}, {"rail": draw.choice(RAILS)}]
        )
        contacts.append(contact | ({"tie": True} if place and draw.random() < 0.2 else {}))
    return _circumstance(
        contacts,
        discipline=draw.choice([one.code for one in disciplines()]),
        cue_ball=cue_ball,
        opening=draw.random() < 0.3,
        touching_rail=draw.choice([None, None, draw.choice(RAILS), draw.sample(RAILS, 2)]),
        touching_ball=draw.choice([None, None, None, draw.choice(balls), balls]),
        off_table=draw.choice([[], [], [], [], [draw.choice(BALLS)]]),
        rule_set=draw.choice([one.code for one in rule_sets()]),
    )


MALFORMED = [
    None,
    "red",
    {},
    [{"ball": "red"}] * 201,
    [{"ball": "red"}, "left"],
    [{}],
    [{"ball": None}],
    [{"ball": "red", "rail": "left"}],
    [{"ball": "red"}, {"ball": "white"}],
    [{"ball": "green"}],
    [{"ball": ["red"]}],
    [{"ball": ""}],
    [{"rail": "middle"}],
    [{"rail": 0}],
    [{"rail": "left", "tie": True}],
    [{"ball": "red"}, {"rail": "left", "tie": 1}],
    [{"ball": "red"}, {"rail": "left", "tie": None}],
    [{"rail": "left", "at": [0, 1]}],
    [[]],
    [None],
]


def said_to_json(said):
    """Return a sentence as the template and parameters that JavaScript gives."""
    return {"template": said.template, "params": dict(said.params)}


def answer(case):
    """Return what the Python validator says of a case, sentences as templates."""
    ruling = rule(
        {one.code: one for one in disciplines()}[case["discipline"]],
        case["cue_ball"],
        parse_contacts(case["contacts"], case["cue_ball"]),
        opening=case["opening"],
        touching_rail=case["touching_rail"],
        touching_ball=case["touching_ball"],
        off_table=case["off_table"],
        rule_set={one.code: one for one in rule_sets()}[case["rule_set"]],
    )
    sentences = {"reason": said_to_json(ruling.reason), "rule": said_to_json(ruling.rule)}
    return ruling.to_json() | sentences


def refusal_of(contacts):
    """Return how contacts of a white cue ball are refused; raises AssertionError where they are not."""
    try:
        parse_contacts(contacts, "white")
    except Malformed as refused:
        return {"field": refused.field, "reason": said_to_json(refused.reason)}
    raise AssertionError(contacts)


def everything():
    """Return the content of the file."""
    return {
        "about": "Written by make_rulings.py from the Python validator; both validators must agree with it.",
        "disciplines": {one.code: one.to_json() for one in disciplines()},
        "rule_sets": {one.code: one.to_json() for one in rule_sets()},
        "cases": [case | {"answer": answer(case)} for case in circumstances()],
        "malformed": [{"contacts": contacts, **refusal_of(contacts)} for contacts in MALFORMED],
    }


def write():
    """Write the file, a case a line."""
    parts = []
    for name, value in everything().items():
        if isinstance(value, list):
            rows = ",\n".join(f"    {json.dumps(row, ensure_ascii=False)}" for row in value)
            parts.append(f'  "{name}": [\n{rows}\n  ]')
        else:
            parts.append(f'  "{name}": {json.dumps(value, ensure_ascii=False)}')
    FILE.write_text("{\n" + ",\n".join(parts) + "\n}\n", "utf-8")


if __name__ == "__main__":
    write()
