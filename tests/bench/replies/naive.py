"""The reader one writes in an afternoon: regular expressions over the whole text.

Written as well as that allows, for three languages, to show what is gained beyond it.
"""

import re
import unicodedata

from reminders.logic.reply import Reply

_STOP = (
    r"(please |pls |por favor |svp )?(stop|stopp|stop ?all|quit|end|cancel|revoke|"
    r"opt.?out|unsubscribe|(stop|no more) (texts|texting|messages|sending|messaging).*|"
    r"(take|remove) me (off|from).*|don.?t text me.*|alto|parar?|pare|baja|cancelar|"
    r"no mas( mensajes)?|no me escriban mas|arret|arreter?|desabonner|desinscrire|"
    r"plus de (messages|sms|textos)|n'envoyez plus.*)( please| por favor| svp|merci)*"
)
_START = r"start|unstop|resume|empezar|comenzar|reanudar|commencer|reprendre"
_HELP = r"help|info|ayuda|aide"
_NO = (
    r"\b(no|not|don'?t|didn'?t|never|without|sin|ni|nunca|ningun[ao]?|pas|sans|"
    r"aucune?|ne|n')\b"
)
_DONE = (
    r"\b(done|did (it|them|all|the|my|both)|finished|completed|hecho|hice|termine|"
    r"complete|fait|faite|faits|fini|termine[es]*)\b"
)
_PARTLY = (
    r"\b(half|some of|part of|partly|only (did|managed)|did \d of \d|la mitad|"
    r"solo hice|parte|la moitie|seulement|une partie|que \d)\b"
)
_SKIPPED = (
    r"\b(skip(ped)?|missed|forgot|(didn'?t|couldn'?t|not) (do|done)|"
    r"no (lo |la |los )?hice|no pude|me olvide|saltado|pas (fait|pu)|saute|oublie)\b"
)
_NO_PAIN = (
    r"\b(no pain|pain.?free|zero pain|sin dolor|no me duele( nada)?|cero dolor|"
    r"pas de douleur|aucune douleur|pas mal du tout)\b(?! (in|en|a|au|dans|down))"
)
_TENS = (
    "zero one two three four five six seven eight nine ten",
    "cero uno dos tres cuatro cinco seis siete ocho nueve diez",
    "zero un deux trois quatre cinq six sept huit neuf dix",
)
_NUMBERS = {word: n for ten in _TENS for n, word in enumerate(ten.split())}
_N = r"(\d{1,2}(?:[.,]5)?)"
_RANGE = rf"{_N}\s*(?:-|to|a|ou|o|or)\s*{_N}"
_PAIN = r"(?:pain|dolor|douleur|mal|sore|hurts?|duele|ache)\w*"
_RATINGS = (
    rf"{_N}\s*(?:/|out of|de|sur)\s*(?:10|ten|diez|dix)\b",
    rf"\bnow (?:a |at )?{_N}\b|\bahora (?:un )?{_N}\b|\bmaintenant (?:a )?{_N}\b",
    rf"\b{_PAIN}\W+(?:\w+\W+){{0,2}}?{_N}\b(?! ?(?:min|days|reps|x))",
    rf"\b{_N}\W+(?:de )?{_PAIN}\b",
    rf"^\W*{_N}\W*$",
)
_AREAS = {
    "back": r"back|lumbar|espalda|cintura|dos|lombaires?|reins",
    "buttock": r"buttocks?|bum|butt|gluteo|nalga|fesses?",
    "hip": r"hips?|cadera|hanche",
    "thigh": r"thighs?|hamstrings?|muslo|cuisses?",
    "knee": r"knees?|rodillas?|genou",
    "lower_leg": r"calf|calves|shins?|pantorrillas?|gemelo|mollets?|tibia",
    "foot": r"foot|feet|toes?|heel|ankle|pies?|dedos|talon|tobillo|pied|orteils?",
    "leg": r"legs?|piernas?|jambes?",
}
_STATES = {
    "new": r"new|first time|just started|nuevo|nouveau|nouvelle|premiere fois",
    "worse": r"worse|worsening|peor|pire|empire|aggrave",
    "better": r"better|improv\w+|eas(ed|ing)|mejor|mieux|ameliore",
    "same": r"same|no change|unchanged|igual|sin cambios?|pareil|meme|inchange",
    "gone": r"gone|fine|ok|clear|any ?more|longer|bien|ya no|plus|disparu|partie?",
}
_SENSATIONS = {
    "numb": r"numb\w*|dormid[oa]|entumecid[oa]|engourdi\w*|cant feel|endormie?",
    "tingling": r"tingl\w*|pins and needles|hormigueo|fourmi\w*|picot\w*",
    "weak": r"weak\w*|debil\w*|faible\w*|faiblesse",
}
_SIDES = {
    "both": r"both (sides|legs|feet)|ambas|los dos|las dos|les deux",
    "left": r"left|izquierd[oa]|gauche",
    "right": r"right|derech[oa]|droite?",
}
_SHIFTS = {
    "toward_back": r"(moved|gone|going) (back )?up|(just|only) in (my |the )?back|"
    r"no longer in|subio|solo (en )?la espalda|remonte|plus que (dans )?le dos",
    "down_leg": r"(going|moved|moving|spread\w*|shoot\w*|goes|travel\w*) (further )?"
    r"(down|into|past|to)|baja (a|por|hasta)|se (extiende|corre)|descend|irradie",
}
_BELOW = (
    r"(groin|between (my |the )?legs|genital\w*|saddle|crotch|entrepierna|genitales|"
    r"entrejambe|parties intimes|perinee)"
)
_NUMB = r"(numb|dormid|entumecid|engourdi)\w*"
_WARNINGS = {
    "bladder_bowel": r"(can'?t|cannot|unable to|trouble|not able to) (pee|wee|urinate|"
    r"poop?|go)|wet (myself|the bed)|incontinen\w+|leak\w*|no puedo (orinar|hacer pis)|"
    r"me (orine|hice) encima|(peux|arrive) (pas|plus) (a )?(uriner|pisser)|fuites?",
    "saddle_numbness": rf"{_NUMB}.{{0,25}}{_BELOW}|{_BELOW}.{{0,25}}{_NUMB}",
    "leg_weakness": r"(leg|foot|knee|ankle)s? .{0,12}(weak|g[ia]v\w+ way|drop|drag)|"
    r"(foot|toe) drop|can'?t (lift|move) my (foot|toes?|leg)|se me dobla|no puedo "
    r"(levantar|mover) (el pie|la pierna)|(jambe|pied) .{0,12}(lache|faible|traine)",
    "both_legs": r"both (legs|feet|calves)|(ambas|las dos) piernas|(deux|2) jambes",
    "sexual_function": r"erection|erectile|orgasm|ereccion|orgasmo|orgasme|bander",
    "fall_injury": r"\b(i fell|fell (over|down|off)|accident|me cai|chute|tombee?)\b",
    "fever_unwell": r"fever|chills|night sweats|fiebre|escalofrios|fievre|frissons",
    "calf_swelling": r"(calf|leg).{0,15}(swollen|hot|red)|swollen (calf|leg)|"
    r"hinchad\w+|(mollet|jambe).{0,15}(gonfle|rouge|chaud)",
    "chest_breathing": r"chest (pain|tight)|short of breath|can'?t breathe|faint\w*|"
    r"dolor (en el|de) pecho|falta el aire|(douleur|mal).{0,15}poitrine|essouffle",
    "cancer_signs": r"los(t|ing) weight|weight loss|cancer|lump|bajado de peso|"
    r"perdu du poids|cancer|bosse",
    "crisis": r"kill myself|suicid\w*|end it all|want to die|can'?t go on|matarme|"
    r"quiero morir|me tuer|envie de mourir|en finir",
}
_PERSON = (
    r"\?|call me|ring me|appointment|reschedul\w*|refill|llam[ae]me|cita|rendez-vous|"
    r"appelez|rappelez|dizzy|nausea|mareo|vertige|neck|shoulder|arm|cuello|hombro|epaule"
)
_CLAUSE = re.compile(r"[.,;:!?\n]+|\b(?:but|however|and|pero|mais|aunque|y|et)\b")
_DOSES = {
    "hold_seconds": r"(\d+) ?(?:s|secs?|seconds?|segundos?|secondes?)\b",
    "repetitions": r"(\d+) ?(?:reps?|repeticiones|repetitions?)\b",
    "sets": r"(\d+) ?(?:sets?|series?)\b",
}


def parse_naively(
    text: str, *, language: str = "en", asked: str | None = None
) -> Reply:
    """A reply read by searching for expressions, whatever its language."""
    said = _plain(text)
    for name, words in (("stop", _STOP), ("start", _START), ("help", _HELP)):
        if re.fullmatch(rf"\W*(?:{words})\W*", said):
            return Reply(keyword=name)
    warnings = frozenset(k for k, words in _WARNINGS.items() if _asserted(words, said))
    areas, sensation = _places(said)
    doses = _doses(said)
    numb = sensation and "numb" in sensation.values()
    ask = "safety" if numb and not warnings else None
    return Reply(
        completion=_completion(said, asked),
        pain=_pain(said, asked),
        overall=_overall(said, areas),
        areas=areas,
        sensation=sensation,
        side=_first(_SIDES, said),
        shift=_first(_SHIFTS, said),
        warnings=warnings,
        needs_human=bool(warnings or ask or re.search(_PERSON, said)),
        ask_back=ask,
        hold_seconds=doses.get("hold_seconds"),
        repetitions=doses.get("repetitions"),
        sets=doses.get("sets"),
    )


def _plain(text: str) -> str:
    apart = unicodedata.normalize("NFKD", text.casefold().replace("’", "'"))
    return "".join(c for c in apart if not unicodedata.combining(c)).strip()


def _first(named: dict[str, str], said: str) -> str | None:
    return next((k for k, w in named.items() if re.search(rf"\b(?:{w})\b", said)), None)


def _asserted(words: str, said: str) -> bool:
    """Found, and no denial in the twenty characters before it."""
    found = re.search(words, said)
    return bool(found and not re.search(_NO, said[: found.start()][-20:]))


def _completion(said: str, asked: str | None) -> str | None:
    for name, words in (("skipped", _SKIPPED), ("partly", _PARTLY), ("done", _DONE)):
        if re.search(words, said):
            return name
    if asked in (None, "session", "done"):
        if re.match(r"(yes|yep|yeah|si|oui|ok done)\b", said):
            return "done"
        if re.fullmatch(r"(no|nope|non)\W*", said):
            return "skipped"
    return None


def _pain(said: str, asked: str | None) -> float | None:
    for word, number in _NUMBERS.items():
        said = re.sub(rf"\b{word}\b(?! (peu|poco|bit|day))", str(number), said)
    said = re.sub(_RANGE, r"\2", said)
    bare = asked in (None, "pain")
    for pattern in _RATINGS if bare else _RATINGS[:-1]:
        found = re.search(pattern, said)
        value = next(filter(None, found.groups()), "") if found else ""
        if value and float(value.replace(",", ".")) <= 10:
            return float(value.replace(",", "."))
    none = bare and re.fullmatch(r"\W*(none|nada|rien|aucune)\W*", said)
    return 0.0 if none or re.search(_NO_PAIN, said) else None


def _places(said: str) -> tuple[dict[str, str], dict[str, str]]:
    areas: dict[str, str] = {}
    sensation: dict[str, str] = {}
    for clause in _CLAUSE.split(said):
        here = [a for a, w in _AREAS.items() if re.search(rf"\b(?:{w})\b", clause)]
        denied = bool(re.search(_NO, clause)) and "cant feel" not in clause
        state = _first(_STATES, clause) or ("gone" if denied else "present")
        feeling = None if denied else _first(_SENSATIONS, clause)
        for area in here:
            areas[area] = state
            if feeling:
                sensation[area] = feeling
    return areas, sensation


def _overall(said: str, areas: dict[str, str]) -> str | None:
    state = None if areas else _first(_STATES, said)
    return state if state in ("better", "same", "worse") else None


def _doses(said: str) -> dict[str, int]:
    found = {name: re.search(words, said) for name, words in _DOSES.items()}
    out = {name: int(match[1]) for name, match in found.items() if match}
    both = re.search(r"\b(\d{1,2}) ?x ?(\d{1,3})\b", said)
    return {"sets": int(both[1]), "repetitions": int(both[2]), **out} if both else out
