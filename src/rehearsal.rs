//! A simulated car, no hardware: seeded and repeatable, it obeys the marks. Pure.
