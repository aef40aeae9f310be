"""One season, small enough to redo by hand. Every figure that follows from it is worked out in ``by_hand.txt``."""

from __future__ import annotations

from builders import Data


def worked_season() -> Data:
    """Three tasks, a cart for two of them, a two-stroke saw, two lots, two people, one kind of wood, one stove."""
    return {
        "version": "1.0",
        "units": {
            "season": {"stick_length": "cm", "yearly_volume": "stacked m3", "gasoline_price": "per L",
                       "two_stroke_oil_price": "per L", "value_of_time": "per h", "appliance_efficiency": "%"},
            "wood": {"share": "%", "moisture": "%", "basic_density": "kg/m3"},
            "people": {"age": "years", "mass": "kg", "height": "cm", "resting_heart_rate": "beats/min"},
            "tools": {"price": "money", "resale": "money", "life_years": "years", "vibration": "m/s2",
                      "sound_level": "dB(A)"},
            "upkeep": {"price": "money"},
            "sessions": {"elapsed_time": "min", "delay_time": "min", "service_time": "min", "running_time": "min",
                         "mean_heart_rate": "beats/min", "fuel_used": "L"},
            "helpers": {"time": "min"},
            "cuts": {"diameter": "cm"},
            "stacks": {"height": "m", "length": "m"},
            "next_season": {"volume_wanted": "stacked m3", "hours_per_week": "h", "longest_session": "min"},
        },
        "season": {"season_name": "Worked by hand", "currency": "NOK", "stick_length": 40, "yearly_volume": 10,
                   "gasoline_price": 20, "two_stroke_oil_price": 100, "value_of_time": 200,
                   "appliance": "certified stove", "appliance_efficiency": 75},
        "wood": [{"species": "Hedge", "share": 100, "moisture": 20, "moisture_basis": "wet", "basic_density": 500}],
        "people": [{"person": "Ada", "age": 40, "equation_sex": "female", "mass": 70, "height": 170,
                    "resting_heart_rate": 60, "may_use": "Saw"},
                   {"person": "Bo", "age": 35, "mass": 80}],
        "tools": [{"tool": "Saw", "kind": "gasoline two-stroke", "price": 4000, "resale": 400, "life_years": 10,
                   "vibration": 4, "sound_level": 100},
                  {"tool": "Cart", "kind": "hand", "price": 1000, "resale": 0, "life_years": 10}],
        "upkeep": [{"tool": "Saw", "item": "Chain", "price": 300, "every": 30, "per": "hours"},
                   {"tool": "Cart", "item": "Tire", "price": 120, "every": 2, "per": "years"},
                   {"tool": "Cart", "item": "Rope", "price": 10, "every": 4, "per": "stacked m3"}],
        "methods": [{"method": "Cart home", "task": "haul", "tool_1": "Cart"},
                    {"method": "Saw up", "task": "buck", "tool_1": "Saw"},
                    {"method": "Pile up", "task": "stack", "tool_1": "Cart"}],
        "sessions": [
            {"session": "H", "date": "2026-03-01", "method": "Cart home", "person": "Ada", "elapsed_time": 30,
             "lot": "North"},
            {"session": "A", "date": "2026-03-02", "method": "Saw up", "person": "Ada", "elapsed_time": 60,
             "delay_time": 10, "service_time": 5, "running_time": 30, "fuel_used": 0.5, "mean_heart_rate": 120,
             "lot": "North"},
            {"session": "B", "date": "2026-03-03", "method": "Saw up", "person": "Ada", "elapsed_time": 90,
             "running_time": 60, "fuel_used": 0.7, "lot": "South"},
            {"session": "D", "date": "2026-03-05", "method": "Saw up", "person": "Ada", "elapsed_time": 50,
             "running_time": 30, "fuel_used": 0.3},
            {"session": "C", "date": "2026-03-04", "method": "Pile up", "person": "Ada", "elapsed_time": 20,
             "lot": "North"},
        ],
        "helpers": [{"session": "A", "person": "Bo", "time": 15}, {"session": "C", "person": "Bo", "time": 20}],
        "cuts": [{"session": "A", "diameter": 20, "cuts": 20}, {"session": "B", "diameter": 30, "cuts": 20}],
        "stacks": [{"session": "H", "height": 0.5, "length": 1.0}, {"session": "C", "height": 1.0, "length": 1.0},
                   {"session": "D", "height": 1.0, "length": 1.0}],
        "heart_trace": [],
        "next_season": {"volume_wanted": 2, "start_date": "2026-09-07", "ready_by_date": "2026-12-31",
                        "hours_per_week": 6, "longest_session": 120, "people_available": 2},
    }  # fmt: skip
