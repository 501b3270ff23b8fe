"""The verbs of the stations area."""

from app.stations.services.closures import close_days, open_day, save_offered_days
from app.stations.services.crews import NewCrew, add_crew, change_crew, move_person, remove_crew
from app.stations.services.going_down import back_now, down_now, guess_again
from app.stations.services.hours import NewShift, copy_hours, set_hours
from app.stations.services.reasons import add_reason, offer_reason, retire_reason
from app.stations.services.said import Said
from app.stations.services.shop import SetupStep, ShopSettings, change_shop, set_up_shop
from app.stations.services.stations import (
    NewStation,
    activate_station,
    add_station,
    add_work_center,
    change_station,
    deactivate_station,
    rename_work_center,
)
from app.stations.services.stretches import (
    NewDowntime,
    NewOvertime,
    add_downtime,
    add_overtime,
    change_downtime,
    change_overtime,
    remove_downtime,
    remove_overtime,
)
from app.stations.services.upkeep import NewService, add_service, remove_service, service_done

__all__ = [
    "NewCrew",
    "NewDowntime",
    "NewOvertime",
    "NewService",
    "NewShift",
    "NewStation",
    "Said",
    "SetupStep",
    "ShopSettings",
    "activate_station",
    "add_crew",
    "add_downtime",
    "add_overtime",
    "add_reason",
    "add_service",
    "add_station",
    "add_work_center",
    "back_now",
    "change_crew",
    "change_downtime",
    "change_overtime",
    "change_shop",
    "change_station",
    "close_days",
    "copy_hours",
    "deactivate_station",
    "down_now",
    "guess_again",
    "move_person",
    "offer_reason",
    "open_day",
    "remove_crew",
    "remove_downtime",
    "remove_overtime",
    "remove_service",
    "rename_work_center",
    "retire_reason",
    "save_offered_days",
    "service_done",
    "set_hours",
    "set_up_shop",
]
