"""The verbs of the people area."""

from app.people.services.own import change_own_password, change_own_pin
from app.people.services.people import (
    LEAST_PASSWORD,
    NewPerson,
    activate_person,
    add_person,
    change_person,
    deactivate_person,
    renew_badge,
    unlock_person,
)
from app.people.services.sign_in import LOCK_AFTER, LOCK_FOR, Secret, check_password, check_pin

__all__ = [
    "LEAST_PASSWORD",
    "LOCK_AFTER",
    "LOCK_FOR",
    "NewPerson",
    "Secret",
    "activate_person",
    "add_person",
    "change_own_password",
    "change_own_pin",
    "change_person",
    "check_password",
    "check_pin",
    "deactivate_person",
    "renew_badge",
    "unlock_person",
]
