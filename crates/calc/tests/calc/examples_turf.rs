//! Published figures for turf and products.

use crate::examples::{Example, example};

/// Kilograms in a pound.
const LB_KG: f64 = 0.453_592_37;
/// Litres in a US gallon.
const GALLON_L: f64 = 3.785_411_784;
/// Hundreds of square metres in an acre.
const ACRE_100M2: f64 = 40.468_564_224;

/// Rows for the turf and product models; items in the trade's units are turned into SI, tolerances come from the printed digits.
pub fn turf() -> Vec<Example> {
    vec![
        example(
            "fertilizer",
            r#"{"n_pct":28,"p2o5_pct":3,"k2o_pct":6,"area_m2":557.4182400000001,"nutrient":"n","target_g_m2":4.88242763638305}"#,
            "University of Nebraska–Lincoln Extension, Lawn fertilizer calculations: 28-3-6 on 6,000 ft², 21.42 lb (from the rounded 3.57)",
            &[("/product_kg", 21.42 * LB_KG, 0.01 * LB_KG), ("/n_g_m2", 4.88242763638305, 1e-9)],
        ),
        example(
            "fertilizer",
            r#"{"n_pct":25,"p2o5_pct":0,"k2o_pct":0,"area_m2":182108.539008,"nutrient":"n","target_g_m2":4.394184872744745,"bag_kg":22.6796185}"#,
            "Turfgrass mathematics review and practice worksheet for certified turfgrass professional testing: 45 acres, 142 bags of 50 lb",
            &[("/product_kg", 3.6 * 43.56 * 45.0 * LB_KG, 1e-6), ("/bags", 142.0, 0.0)],
        ),
        example(
            "fertilizer",
            r#"{"n_pct":5,"p2o5_pct":10,"k2o_pct":20,"area_m2":50000,"nutrient":"p2o5","target_g_m2":1.133980925}"#,
            "the same worksheet: 1,250 lb of 5-10-20 hold 62.5, 125 and 250 lb",
            &[
                ("/product_kg", 1250.0 * LB_KG, 1e-6),
                ("/n_g_m2", 62.5 * LB_KG / 50.0, 1e-9),
                ("/k2o_g_m2", 250.0 * LB_KG / 50.0, 1e-9),
            ],
        ),
        example(
            "fertilizer",
            r#"{"n_pct":32,"p2o5_pct":0,"k2o_pct":4,"area_m2":250,"nutrient":"n","target_g_m2":3.5,"bag_kg":2.734375}"#,
            "worked by hand: 3.5 / 0.32 on 250 m²; an amount that is one whole bag needs one",
            &[("/product_kg", 2.734375, 1e-12), ("/k2o_g_m2", 0.4375, 1e-12), ("/bags", 1.0, 0.0)],
        ),
        example(
            "spreader-calibration",
            r#"{"trials":[{"setting":6,"collected_kg":1.088621688,"swath_m":2.4384,"length_m":22.86},
                {"setting":4,"collected_kg":0.680388555,"swath_m":2.4384,"length_m":22.86}],"target_g_m2":15.257586363697031}"#,
            "worked by hand: 4.0 and 2.5 lb on 1,000 ft² at 6 and 4, so 3.125 at 4.83",
            &[
                ("/setting", 4.8333, 0.00005),
                ("/fit_g_m2/0", 19.5297105455322, 1e-9),
                ("/fit_g_m2/1", 12.206069090957625, 1e-9),
            ],
        ),
        example(
            "spreader-calibration",
            r#"{"trials":[{"setting":5,"collected_kg":2.2679618500000003,"swath_m":3.048,"length_m":30.48},
                {"setting":7,"collected_kg":3.62873896,"swath_m":3.048,"length_m":30.48}],"target_g_m2":24.41213818191525}"#,
            "LSU AgCenter, broadcast spreader calibration: 5 lb on 10 by 100 ft are 5 lb on 1,000 ft²",
            &[("/setting", 5.0, 1e-6), ("/fit_g_m2/0", 5.0 * 4.882, 0.005)],
        ),
        example(
            "spreader-calibration",
            r#"{"trials":[{"setting":4,"collected_kg":0.09,"swath_m":2,"length_m":5},
                {"setting":6,"collected_kg":0.2,"swath_m":2,"length_m":5},{"setting":4,"collected_kg":0.11,"swath_m":2,"length_m":5}],"target_g_m2":25}"#,
            "definition: 9 and 11 g/m² at one setting are 10; beyond the trials the line is drawn on",
            &[("/setting", 7.0, 1e-9), ("/fit_g_m2/0", 10.0, 1e-9), ("/fit_g_m2/2", 10.0, 1e-9)],
        ),
        example(
            "sprayer-output",
            r#"{"nozzle_lpm":14.19529419,"nozzles":1,"speed_m_s":2.2352,"spacing_m":5.6388}"#,
            "Albany County Weed and Pest, Calibrating your sprayer: 3.75 gal/min over 222 in at 5 mph, 20 gal/acre",
            &[("/l_per_100m2", 20.0 * GALLON_L / ACRE_100M2, 0.5 * GALLON_L / ACRE_100M2)],
        ),
        example(
            "sprayer-output",
            r#"{"nozzle_lpm":0.75,"nozzles":20,"speed_m_s":2.5,"spacing_m":0.5}"#,
            "Alberta Agriculture, Agdex 606-1, sprayer calibration example: 0.71 to 0.79 L/min at 9 km/h, 40 L/acre (spacing 0.5 m)",
            &[("/l_per_100m2", 40.0 / ACRE_100M2, 0.5 / ACRE_100M2)],
        ),
        example(
            "tank-mix",
            r#"{"product_per_100m2":0.08895793732817951,"carrier_l_per_100m2":3.7415824915824913,"tank_l":151.41647136,"area_m2":101171.41056}"#,
            "D. Gerken, Oklahoma State University–Oklahoma City, Calibrating application equipment: 3.6 pints/acre at 40 gal/acre, 25 acres",
            &[
                ("/tanks", 25.0, 0.0),
                ("/product_total", 11.25 * 8.0, 1e-6),
                ("/product_per_full_tank", 3.6, 0.05),
                ("/last_tank_l", 40.0 * GALLON_L, 1e-6),
            ],
        ),
        example(
            "tank-mix",
            r#"{"product_per_100m2":0.0741316144401496,"carrier_l_per_100m2":1.4030934343434343,"tank_l":75.70823568,"area_m2":14163.9974784}"#,
            "Agrochemical and pesticide safety, handbook, example 4: 3.5 acres at 15 gal and 3 lb take 52.5 gal and 10.5 lb",
            &[("/tanks", 3.0, 0.0), ("/product_total", 10.5, 0.05), ("/last_tank_l", 12.5 * GALLON_L, 0.05 * GALLON_L)],
        ),
        example(
            "tank-mix",
            r#"{"product_per_100m2":4.744423324169574,"carrier_l_per_100m2":3.7415824915824913,"tank_l":3.785411784,"area_m2":100.0}"#,
            "Sellers and others, UF/IFAS Extension, WG217, Table 2: 1 quart/acre at 40 gal/acre is 4.75 teaspoons in a gallon",
            &[("/product_per_full_tank", 4.75, 0.1)],
        ),
        example(
            "tank-mix",
            r#"{"product_per_100m2":50,"carrier_l_per_100m2":4.1,"tank_l":15,"area_m2":600}"#,
            "worked by hand: 24.6 L, 183 mL in a full tank, 117 in the last 9.6 L",
            &[
                ("/tanks", 2.0, 0.0),
                ("/product_total", 300.0, 1e-9),
                ("/product_per_full_tank", 183.0, 0.5),
                ("/last_tank_l", 9.6, 1e-9),
                ("/last_tank_product", 117.0, 0.5),
            ],
        ),
        example(
            "active-ingredient",
            r#"{"product_ml_m2":0.2338489057239057,"active_g_l":479.30570926758656}"#,
            "Pacific Northwest Weed Management Handbook, Weights and measures: 2 pints/acre of 4 lb/gal are 1 lb/acre",
            &[("/active_g_m2", 0.1120851156194456, 1e-9)],
        ),
        example(
            "active-ingredient",
            r#"{"product_g_m2":0.22604211875090416,"active_pct":50}"#,
            "the same: 21 g of 50 % on 1,000 ft² are 1 lb/acre",
            &[("/active_g_m2", 0.1120851156194456, 0.5 * 0.5 / 92.903)],
        ),
        example(
            "active-ingredient",
            r#"{"product_g_m2":0.280212789048614,"active_pct":80}"#,
            "Agrochemical and pesticide safety, handbook, example 5: 2.5 lb/acre of 80 % are 2 lb/acre",
            &[("/active_g_m2", 0.2241702312388912, 1e-9)],
        ),
        example(
            "active-ingredient",
            r#"{"product_g_m2":14.647282909149151,"active_pct":0.48,"used_this_year_g_m2":0,"yearly_limit_g_m2":0.1120851156194456}"#,
            "worked by hand: 3.0 lb on 1,000 ft² of 0.48 % are 0.627 lb/acre and leave 0.373 of 1.0",
            &[
                ("/active_g_m2", 0.627 * 0.1120851156194456, 0.0005 * 0.1121),
                ("/remaining_g_m2", 0.373 * 0.1120851156194456, 0.0005 * 0.1121),
            ],
        ),
        example(
            "seed-mix",
            r#"{"parts":[{"name":"lot","weight_pct":100,"purity_pct":92,"germination_pct":80,"seeds_per_kg":500000}],"rate_g_m2":30,"area_m2":100}"#,
            "Penn State Extension, Calculating the price of pure live seed: 92 and 80 %, 74 %",
            &[("/pure_live_seed_pct", 74.0, 0.5), ("/seed_kg", 3.0, 1e-12), ("/live_seeds_cm2", 1.104, 1e-9)],
        ),
        example(
            "seed-mix",
            r#"{"parts":[{"name":"red fescue","weight_pct":45.833333333333336,"purity_pct":96,"germination_pct":85,"seeds_per_kg":880000},
                {"name":"bluegrass","weight_pct":32.29166666666667,"purity_pct":96,"germination_pct":80,"seeds_per_kg":3000000},
                {"name":"chewings fescue","weight_pct":9.375,"purity_pct":96,"germination_pct":85,"seeds_per_kg":1000000},
                {"name":"ryegrass","weight_pct":12.5,"purity_pct":96,"germination_pct":90,"seeds_per_kg":530000}],"rate_g_m2":20,"area_m2":100}"#,
            "University of Minnesota Extension, Purchasing seed, Table 5.2: the bluegrass is 24.8 % of the bag as live seed, the others by the same rule",
            &[
                ("/pure_live_seed_pct", 37.4 + 24.8 + 7.65 + 10.8, 1e-9),
                ("/parts/1/live_seeds_cm2", 20.0 * 0.248 * 3000.0 / 10_000.0, 1e-9),
            ],
        ),
        example(
            "seed-mix",
            r#"{"parts":[{"name":"a","weight_pct":60,"purity_pct":98,"germination_pct":90,"seeds_per_kg":500000},
                {"name":"b","weight_pct":40,"purity_pct":95,"germination_pct":80,"seeds_per_kg":2000000}],"rate_g_m2":10,"area_m2":200}"#,
            "worked by hand: 294 and 760 seeds in a gram of mixture",
            &[
                ("/parts/0/seed_count_pct", 100.0 * 294.0 / 1054.0, 1e-9),
                ("/live_seeds_cm2", 0.8726, 1e-9),
                ("/seed_kg", 2.0, 1e-12),
            ],
        ),
    ]
}
