"""The verbs of the piece ledger. Each is one transaction and happens exactly once for a client's key."""

from app.lots.services.acts import Act
from app.lots.services.aside import (
    hold_lot,
    hold_pieces,
    release_lot_hold,
    release_pieces,
    rework_pieces,
    scrap_pieces,
    send_back_to_vendor,
)
from app.lots.services.begin import begin, first_piece_good, hand_over, pause, run
from app.lots.services.blanks import blanks_operation, blanks_wanted, issue_blanks, start_fewer, still_wanted
from app.lots.services.changes import NewOperation, add_operation, move_operation, skip_operation, want_operation
from app.lots.services.checks import EntryCheck, check_entries
from app.lots.services.components import ComponentSource, use_component
from app.lots.services.cover import free_again, mean_for
from app.lots.services.due import refresh_due, refresh_due_of_deliveries
from app.lots.services.finished import rework_finished, scrap_finished, send_finished_back_to_vendor
from app.lots.services.from_paper import enter_rows, rows_kept
from app.lots.services.hours import count_hours
from app.lots.services.joins import join_lots
from app.lots.services.paper_rows import PaperRow
from app.lots.services.record_earlier import record_earlier
from app.lots.services.recount import Count, recount
from app.lots.services.release import NewLot, Share, note_files, note_print, release_lot
from app.lots.services.revisions import move_to_revision
from app.lots.services.scrapping import scrap_left
from app.lots.services.sending import let_go, send_to_station
from app.lots.services.sign_off import Rework, Scrap, SignOff, count_so_far, send_ahead, sign_off
from app.lots.services.split import ship_pieces, split_lot
from app.lots.services.take_back import ComeBack, Inspection, chosen_again, take_back
from app.lots.services.taking_off import take_off
from app.lots.services.undo import undo, undo_shipped
from app.lots.services.ways import MOST_STATIONS, Way, change_way

__all__ = [
    "MOST_STATIONS",
    "Act",
    "ComeBack",
    "ComponentSource",
    "Count",
    "EntryCheck",
    "Inspection",
    "NewLot",
    "NewOperation",
    "PaperRow",
    "Rework",
    "Scrap",
    "Share",
    "SignOff",
    "Way",
    "add_operation",
    "begin",
    "blanks_operation",
    "blanks_wanted",
    "change_way",
    "check_entries",
    "chosen_again",
    "count_hours",
    "count_so_far",
    "enter_rows",
    "first_piece_good",
    "free_again",
    "hand_over",
    "hold_lot",
    "hold_pieces",
    "issue_blanks",
    "join_lots",
    "let_go",
    "mean_for",
    "move_operation",
    "move_to_revision",
    "note_files",
    "note_print",
    "pause",
    "record_earlier",
    "recount",
    "refresh_due",
    "refresh_due_of_deliveries",
    "release_lot",
    "release_lot_hold",
    "release_pieces",
    "rework_finished",
    "rework_pieces",
    "rows_kept",
    "run",
    "scrap_finished",
    "scrap_left",
    "scrap_pieces",
    "send_ahead",
    "send_back_to_vendor",
    "send_finished_back_to_vendor",
    "send_to_station",
    "ship_pieces",
    "sign_off",
    "skip_operation",
    "split_lot",
    "start_fewer",
    "still_wanted",
    "take_back",
    "take_off",
    "undo",
    "undo_shipped",
    "use_component",
    "want_operation",
]
