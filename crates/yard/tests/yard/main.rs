//! The domain seen from outside: scenarios over real weather, invariants of the fold, checks against published waits.

mod advice;
mod audit;
mod checks;
mod common;
mod daybook;
mod diagnosis;
mod diagnosis_place;
mod diagnosis_yard;
mod faultfinding;
mod forecast;
mod ground;
mod histories;
mod leak;
mod map;
mod plans;
mod plant_place;
mod planted;
mod plants;
mod programmes;
mod seed_water;
mod shed;
mod sprinkler_year;
mod trial;
mod watch;
mod water_cost;
mod weather;
