"""Errands: what the front desk settles, told by a code."""

import pytest

from reminders.logic.reply.errands import Errands, errands

TIMES = [
    ("texts at 6am are too early", "en"),
    ("stop texting me at night", "en"),
    ("the reminder wakes the baby", "en"),
    ("please text me only after 10am", "en"),
    ("los mensajes llegan muy temprano", "es"),
    ("no me manden mensajes de noche", "es"),
    ("vos messages arrivent trop tôt le matin", "fr"),
    ("le rappel me réveille", "fr"),
]
VISITS = [
    ("can I move Thursday's appointment?", "en"),
    ("tengo que cambiar la cita del martes", "es"),
    ("je dois décaler mon rendez-vous", "fr"),
]
NONE = [
    ("done, did it in the morning, 4", "en"),
    ("pain 4 at 8am then 6", "en"),
    ("hecho, dolor 3 por la mañana", "es"),
    ("fait ce matin, 4", "fr"),
]


@pytest.mark.parametrize(("text", "language"), TIMES)
def test_a_complaint_about_the_hour_is_an_errand(text: str, language: str) -> None:
    brought = errands(text, language=language)
    assert "text_times" in brought.codes and brought.only


@pytest.mark.parametrize(("text", "language"), VISITS)
def test_an_appointment_is_an_errand(text: str, language: str) -> None:
    brought = errands(text, language=language)
    assert "appointment" in brought.codes and brought.only


@pytest.mark.parametrize(("text", "language"), NONE)
def test_a_report_is_no_errand(text: str, language: str) -> None:
    assert errands(text, language=language) == Errands((), False)


@pytest.mark.parametrize(
    "text",
    [
        "can I move my appointment, the pain is worse",
        "texts too early. is it normal that my foot is numb?",
        "I can't pee, do I still come to the appointment?",
    ],
)
def test_anything_clinical_beside_an_errand_wants_a_clinician(text: str) -> None:
    brought = errands(text)
    assert brought.codes and not brought.only
