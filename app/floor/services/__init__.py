"""The verbs of the floor area: what is done at a station, by the person who is signed on there."""

from app.floor.services.components import add_component
from app.floor.services.estimates import PLACE as ESTIMATE_FORM
from app.floor.services.estimates import Estimate, mend_forgotten, passed_through
from app.floor.services.loads import begin_load, collect
from app.floor.services.marks import Mark, add_mark, find_first_piece_good
from app.floor.services.measuring import (
    let_go_on,
    say_all_checked,
    say_made,
    split_suspects,
    strike_reading,
    take_reading,
)
from app.floor.services.notes import NewNote, end_note, leave_note, note_on_lot, see_hand_over, take_down_note
from app.floor.services.paper import WrittenRow, enter_from_paper
from app.floor.services.photos import read_photo
from app.floor.services.pieces import PieceMove, Pieces, hold_whole_lot, move_pieces, release_whole_lot
from app.floor.services.scanning import Answer, Shown, changed_since, check_same_work, scan
from app.floor.services.sent import Remedies, Sent
from app.floor.services.sign_offs import SignedOff, sign_off_work
from app.floor.services.signing import keep_signed_on, sign_off_person, sign_on_again, sign_on_with_pin, unlocked_wearer
from app.floor.services.station_state import guess_again, let_go, say_back, say_down, send_to_other_station
from app.floor.services.undoing import MAY_DECIDE, undo_entry
from app.floor.services.upkeep import plan_service, service_done

__all__ = [
    "ESTIMATE_FORM",
    "MAY_DECIDE",
    "Answer",
    "Estimate",
    "Mark",
    "NewNote",
    "PieceMove",
    "Pieces",
    "Remedies",
    "Sent",
    "Shown",
    "SignedOff",
    "WrittenRow",
    "add_component",
    "add_mark",
    "begin_load",
    "changed_since",
    "check_same_work",
    "collect",
    "end_note",
    "enter_from_paper",
    "find_first_piece_good",
    "guess_again",
    "hold_whole_lot",
    "keep_signed_on",
    "leave_note",
    "let_go",
    "let_go_on",
    "mend_forgotten",
    "move_pieces",
    "note_on_lot",
    "passed_through",
    "plan_service",
    "read_photo",
    "release_whole_lot",
    "say_all_checked",
    "say_back",
    "say_down",
    "say_made",
    "scan",
    "see_hand_over",
    "send_to_other_station",
    "service_done",
    "sign_off_person",
    "sign_off_work",
    "sign_on_again",
    "sign_on_with_pin",
    "split_suspects",
    "strike_reading",
    "take_down_note",
    "take_reading",
    "undo_entry",
    "unlocked_wearer",
]
