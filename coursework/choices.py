"""The words that forms and pages use for what a coupon may state.

The values are the engine's; a value without a word here fails ``tests/coursework/test_choices.py``.
"""

from typing import TYPE_CHECKING

from django.utils.translation import gettext_lazy as _

from weldlog.engine.alloys import ALLOYS
from weldlog.engine.filler_metals import FILLERS
from weldlog.engine.imperfections import IMPERFECTIONS

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

type Words = StrOrPromise
type Choices = list[tuple[str, Words]]

NOT_LOGGED = _("not logged")
NO_FILLER = "none"
UNKNOWN_ALLOY = "unknown"

WORDS: dict[str, dict[str, Words]] = {
    "process": {"GTAW": _("GTAW (TIG)"), "GMAW": _("GMAW (MIG)")},
    "transfer": {
        "spray": _("spray"),
        "pulsed": _("pulsed"),
        "short_circuit": _("short circuit"),
    },
    "joint": {
        "bead_on_plate": _("bead on plate"),
        "butt": _("butt"),
        "lap": _("lap"),
        "tee": _("tee"),
        "corner": _("corner"),
        "edge": _("edge"),
    },
    "weld": {
        "bead": _("bead"),
        "fillet": _("fillet"),
        "square_groove": _("square groove"),
        "v_groove": _("V groove"),
    },
    "position": {
        "PA": _("PA, flat"),
        "PB": _("PB, horizontal fillet"),
        "PC": _("PC, horizontal"),
        "PD": _("PD, overhead fillet"),
        "PE": _("PE, overhead"),
        "PF": _("PF, vertical up"),
        "PG": _("PG, vertical down"),
    },
    "work": {"fabrication": _("new stock"), "repair": _("used part")},
    "stored": {
        "indoors": _("indoors"),
        "outdoors": _("outdoors"),
        "immersed": _("in water"),
        "unknown": _("not known"),
    },
    "coating": {
        "none": _("bare"),
        "paint": _("painted"),
        "anodised": _("anodized"),
        "plated": _("plated"),
        "unknown": _("not known"),
    },
    "edge": {
        "as_supplied": _("as supplied"),
        "sawn": _("sawn"),
        "sheared": _("sheared"),
        "machined": _("machined"),
        "plasma": _("plasma cut"),
        "laser": _("laser cut"),
        "abrasive_disc": _("abrasive disc"),
        "oxy_fuel": _("oxy-fuel cut"),
    },
    "disc_condition": {
        "new": _("new disc"),
        "used_on_aluminium": _("used on aluminum"),
        "used_on_steel": _("used on steel"),
    },
    "form": {"cut_length": _("rod"), "spool": _("spool")},
    "condition": {
        "clean_sealed": _("clean, from its sealed pack"),
        "wiped": _("wiped"),
        "not_wiped": _("not wiped"),
        "dull": _("dull or gray"),
        "wet": _("was wet"),
    },
    "polarity": {
        "AC": _("AC"),
        "DCEN": _("DC, electrode negative"),
        "DCEP": _("DC, electrode positive"),
    },
    "voltage_read": {
        "at_arc": _("near the arc"),
        "display": _("machine display"),
        "assumed": _("assumed"),
    },
    "shielding_gas": {
        "argon": _("argon"),
        "argon_helium": _("argon and helium"),
        "helium": _("helium"),
        "argon_co2": _("argon and CO₂"),
        "argon_oxygen": _("argon and oxygen"),
        "argon_hydrogen": _("argon and hydrogen"),
        "co2": _("CO₂"),
        "nitrogen": _("nitrogen"),
    },
    "tungsten_type": {
        "pure": _("pure"),
        "zirconiated": _("zirconiated"),
        "lanthanated": _("lanthanated"),
        "ceriated": _("ceriated"),
        "thoriated": _("thoriated"),
        "rare_earth": _("rare earth mix"),
    },
    "step": {
        "strip_coating": _("Stripped the coating"),
        "cut": _("Cut"),
        "dress_edge": _("Dressed the cut edge"),
        "deburr": _("Took the burr off"),
        "degrease": _("Wiped with the degreaser"),
        "dry": _("Let it dry"),
        "remove_oxide": _("Took the oxide off"),
        "wipe": _("Last dry wipe"),
        "cover": _("Covered while it waits"),
        "blow_off": _("Blew off with compressed air"),
        "recut_rod": _("Cut the rod end"),
        "other": _("Something else"),
    },
    "agent": {
        "acetone": _("acetone"),
        "alkaline": _("alkaline cleaner"),
        "alcohol": _("alcohol"),
        "chlorinated": _("chlorinated solvent or brake cleaner"),
        "acid_etch": _("acid etch"),
        "caustic_etch": _("caustic etch"),
        "other": _("other"),
        "none": _("none"),
    },
    "tool": {
        "stainless_hand_brush": _("stainless hand brush"),
        "carbon_steel_brush": _("carbon-steel brush"),
        "brass_brush": _("brass or copper brush"),
        "power_wire_wheel": _("power wire wheel"),
        "flap_disc": _("flap disc"),
        "sanding_disc": _("sanding disc"),
        "bonded_wheel": _("bonded grinding wheel"),
        "scraper": _("scraper"),
        "file": _("file"),
        "mill": _("mill or router"),
        "lint_free_cloth": _("lint-free cloth"),
        "shop_rag": _("shop rag"),
        "compressed_air": _("compressed air"),
    },
    "tool_kept_for": {
        "aluminium_only": _("for aluminum only"),
        "shared_with_steel": _("also used on steel"),
        "unknown": _("not known"),
    },
    "pressure": {"light": _("light"), "heavy": _("heavy")},
    "stroke": {"one_way": _("one way"), "back_and_forth": _("back and forth")},
}

LEVEL_WORDS: dict[int, Words] = {
    1: _("not yet"),
    2: _("getting there"),
    3: _("meets it"),
    4: _("every time"),
}

OXIDE_TOOLS = (
    "stainless_hand_brush",
    "carbon_steel_brush",
    "brass_brush",
    "power_wire_wheel",
    "flap_disc",
    "sanding_disc",
    "bonded_wheel",
    "scraper",
    "file",
    "mill",
)


def choices(word: str, blank: str = "", only: tuple[str, ...] = ()) -> Choices:
    """Return the choices of one word, led by a blank one with the text given."""
    found = [(value, label) for value, label in WORDS[word].items() if not only or value in only]
    return [("", blank), *found]


def alloy_choices(blank: str) -> Choices:
    """Return every alloy of the tables, led by a blank and followed by *I do not know*."""
    return [
        ("", blank),
        *((name, name) for name in ALLOYS),
        (UNKNOWN_ALLOY, str(_("I do not know"))),
    ]


def filler_choices(blank: str) -> Choices:
    """Return *No filler* and every filler of the tables, led by a blank."""
    return [("", blank), (NO_FILLER, str(_("No filler"))), *((name, name) for name in FILLERS)]


def imperfection_choices(blank: str) -> Choices:
    """Return every imperfection of the classroom list with its ISO 6520-1 number."""
    named = ((kind.numbers[0], f"{kind.name} ({kind.numbers[0]})") for kind in IMPERFECTIONS)
    return [("", blank), *named]


def words_of(word: str, value: str) -> str:
    """Return the words for one value, or the value itself where none are known."""
    return str(WORDS.get(word, {}).get(value, value))
