"""The words of the reach chart and its table, in the languages of the library."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

Words = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class ReachWords:
    """Everything the chart says in one language; `{}` marks are filled in."""

    areas: Words
    sides: Words
    kinds: Words
    months: str
    day: str
    pain: str
    no_number: str
    not_said: str
    title: str
    desc: str
    desc_none: str
    first: str
    last: str
    direction: str
    unsure: str

    def score(self, pain: float | None) -> str:
        """A pain score as the client gave it; "no number" for None."""
        return self.no_number if pain is None else f"{pain:.1f}".removesuffix(".0")

    def date(self, day: date) -> str:
        """A day and month short enough for an axis."""
        return self.day.format(month=self.months.split()[day.month - 1], day=day.day)

    def area(self, area: str | None) -> str:
        """An area in words; "not said" for None or a word nobody knows."""
        return self.areas.get(area or "", self.not_said)

    def side(self, side: str | None) -> str:
        """A side in words; empty where the report names none."""
        return self.sides.get(side or "", "")


_EN = ReachWords(
    areas={
        "back": "back",
        "buttock": "buttock",
        "hip": "hip",
        "thigh": "thigh",
        "knee": "knee",
        "lower_leg": "lower leg",
        "foot": "foot",
        "leg": "leg, level not said",
    },
    sides={"left": "left", "right": "right", "both": "both sides"},
    kinds={
        "dose": "Dose",
        "decision": "Decision",
        "alert": "Alert",
        "report": "Report",
    },
    months="Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec",
    day="{month} {day}",
    pain="Pain 0-10",
    no_number="no number",
    not_said="not said",
    title="Reach and pain, {start} to {end}",
    desc="Reports that say how far pain reaches: {count}.",
    desc_none="No report says how far pain reaches.",
    first="First: {area}, pain {pain}.",
    last="Last: {area}, pain {pain}.",
    direction="Dots climbing toward the back: pain is drawing in.",
    unsure="not certain",
)

_ES = ReachWords(
    areas={
        "back": "espalda",
        "buttock": "glúteo",
        "hip": "cadera",
        "thigh": "muslo",
        "knee": "rodilla",
        "lower_leg": "pierna baja",
        "foot": "pie",
        "leg": "pierna, sin decir la altura",
    },
    sides={"left": "izquierda", "right": "derecha", "both": "los dos lados"},
    kinds={
        "dose": "Dosis",
        "decision": "Decisión",
        "alert": "Alerta",
        "report": "Respuesta",
    },
    months="ene feb mar abr may jun jul ago sep oct nov dic",
    day="{day} {month}",
    pain="Dolor 0-10",
    no_number="sin número",
    not_said="no dicho",
    title="Alcance y dolor, del {start} al {end}",
    desc="Respuestas que dicen hasta dónde llega el dolor: {count}.",
    desc_none="Ninguna respuesta dice hasta dónde llega el dolor.",
    first="Primera: {area}, dolor {pain}.",
    last="Última: {area}, dolor {pain}.",
    direction="Puntos que suben hacia la espalda: el dolor se recoge.",
    unsure="no seguro",
)

_FR = ReachWords(
    areas={
        "back": "dos",
        "buttock": "fesse",
        "hip": "hanche",
        "thigh": "cuisse",
        "knee": "genou",
        "lower_leg": "bas de jambe",
        "foot": "pied",
        "leg": "jambe, hauteur non dite",
    },
    sides={"left": "gauche", "right": "droite", "both": "les deux côtés"},
    kinds={
        "dose": "Dose",
        "decision": "Décision",
        "alert": "Alerte",
        "report": "Réponse",
    },
    months="janv. févr. mars avr. mai juin juil. août sept. oct. nov. déc.",
    day="{day} {month}",
    pain="Douleur 0-10",
    no_number="sans chiffre",
    not_said="non dit",
    title="Étendue et douleur, du {start} au {end}",
    desc="Réponses qui disent jusqu’où va la douleur : {count}.",
    desc_none="Aucune réponse ne dit jusqu’où va la douleur.",
    first="Première : {area}, douleur {pain}.",
    last="Dernière : {area}, douleur {pain}.",
    direction="Points qui montent vers le dos : la douleur se retire.",
    unsure="incertain",
)

WORDS: Mapping[str, ReachWords] = {"en": _EN, "es": _ES, "fr": _FR}


def words(language: str) -> ReachWords:
    """The words of a language; English where it is not carried."""
    return WORDS.get(language, _EN)
