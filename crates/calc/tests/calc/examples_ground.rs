//! Published figures for ground, colour and the pool.

use crate::examples::{Example, example};

/// Cubic metres in a cubic yard.
const YD3_M3: f64 = 0.764_554_857_984;
/// Litres in a cubic foot.
const FT3_L: f64 = 28.316_846_592;

/// Rows for the ground, colour and pool models; tolerances come from the printed digits.
pub fn ground() -> Vec<Example> {
    [areas(), earth(), water_and_soil(), colour_and_pool()].into_iter().flatten().collect()
}

fn areas() -> Vec<Example> {
    vec![
        example(
            "polygon-area",
            r#"{"ring":[[0,0],[20,0],[20,10],[0,10],[0,0]],"holes":[[[5,5],[5,9],[8,9],[8,5]]]}"#,
            "definition: 20 by 10 without 3 by 4; the perimeter is the outer ring's",
            &[("/area_m2", 188.0, 1e-12), ("/perimeter_m", 60.0, 1e-12)],
        ),
        example(
            "polygon-area",
            r#"{"lonlat":[[0,0],[1,0],[1,1],[0,1]]}"#,
            "test set of Karney's library: a square degree on the equator",
            &[("/area_m2", 12_308_778_361.469, 0.0005), ("/perimeter_m", 443_770.917, 0.0005)],
        ),
        example(
            "polygon-area",
            r#"{"lonlat":[[179,0],[180,-1],[-179,0],[-180,1]]}"#,
            "GeographicLib, Planimeter tests: a diamond on the equator, here across the date line",
            &[("/area_m2", 24_619_419_146.0, 1.0), ("/perimeter_m", 627_598.273_1, 1e-4)],
        ),
        example(
            "tape-survey",
            r#"{"corners":[{"id":"A","x_m":0,"y_m":0},{"id":2,"x_m":20,"y_m":0}],
                "points":[{"id":"t","near":[5,10],"from":[{"id":"A","distance_m":13},{"id":2,"distance_m":19.2093727122985}]}]}"#,
            "two-corner fix worked by hand: D 20, d 13 and √369",
            &[
                ("/points/0/x_m", 5.0, 1e-9),
                ("/points/0/y_m", 12.0, 1e-9),
                ("/residuals/0", 0.0, 1e-9),
                ("/redundancy", 0.0, 0.0),
                ("/distance_error_m", 0.02, 0.0),
            ],
        ),
        example(
            "tape-survey",
            r#"{"corners":[{"id":"P","x_m":0,"y_m":10},{"id":"Q","x_m":-8.660254037844386,"y_m":-5},
                           {"id":"R","x_m":8.660254037844386,"y_m":-5}],
                "points":[{"id":"m","from":[{"id":"P","distance_m":10.03},{"id":"Q","distance_m":10.03},{"id":"R","distance_m":10.03}]}]}"#,
            "by symmetry: three distances 0.03 too long leave the point in the middle; σ0 = 0.03 √3, position √(4/3) σ0",
            &[
                ("/points/0/x_m", 0.0, 1e-9),
                ("/points/0/y_m", 0.0, 1e-9),
                ("/points/0/standard_error_m", 0.06, 1e-9),
                ("/residuals/2", -0.03, 1e-9),
                ("/worst_tie/residual_m", -0.03, 1e-9),
            ],
        ),
    ]
}

fn earth() -> Vec<Example> {
    vec![
        example(
            "cut-fill",
            r#"{"existing":[[0,0,0],[10,0,0],[0,6,0]],"proposed":[[0,0,0.2],[10,0,0.5],[0,6,0.1]]}"#,
            "triangular prism worked by hand: 30 m², depths 0.2, 0.5 and 0.1",
            &[("/fill_m3", 8.0, 1e-9), ("/cut_m3", 0.0, 0.0), ("/net_m3", 8.0, 1e-9), ("/area_m2", 30.0, 1e-9)],
        ),
        example(
            "cut-fill",
            r#"{"existing":[[0,0,0],[10,0,0],[10,10,0],[0,10,0]],
                "proposed":[[0,0,0],[10,0,0],[10,10,0],[0,10,0],[3,3,3],[7,3,3],[7,7,3],[3,7,3]]}"#,
            "frustum of a pyramid: h/3 (A1 + √(A1 A2) + A2), 3 high on 10 by 10 with 4 by 4 on top",
            &[("/fill_m3", 156.0, 1e-9), ("/net_m3", 156.0, 1e-9)],
        ),
        example(
            "cut-fill",
            r#"{"existing":[[0,0,0],[10,0,0],[10,10,0],[0,10,0]],"proposed":[[0,0,1],[10,0,1],[10,10,1],[0,10,1],[5,5,-2]],
                "boundary":[[0,0],[10,0],[10,10],[0,10]]}"#,
            "a pit through the level: the tip of the pyramid, (2/3)³ of 100 m³, is cut and as much is filled",
            &[("/cut_m3", 800.0 / 27.0, 1e-9), ("/fill_m3", 800.0 / 27.0, 1e-9), ("/net_m3", 0.0, 1e-9)],
        ),
        example(
            "material",
            format!(r#"{{"area_m2":25.0838208,"depth_mm":304.8,"bag_l":{}}}"#, 3.0 * FT3_L),
            "a compost guide: 9 by 30 ft at 12 in take 10 cubic yards; nine bags of 3 ft³ to the yard",
            &[("/volume_m3", 10.0 * YD3_M3, 1e-9), ("/bags", 90.0, 0.0)],
        ),
        example(
            "material",
            r#"{"area_m2":100,"depth_mm":76.2,"settle_fraction":0.25,"waste_fraction":0.1,"density_kg_m3":400}"#,
            "a mulch supplier: 4 in loose end as 3 in; a tenth more for waste",
            &[("/volume_m3", 11.176, 1e-9), ("/mass_kg", 4470.4, 1e-9)],
        ),
    ]
}

fn water_and_soil() -> Vec<Example> {
    vec![
        example(
            "runoff-depth",
            r#"{"curve_number":70,"rain_mm":152.4}"#,
            "TR-55, example 2-1: 2.81 in",
            &[("/runoff_mm", 2.81 * 25.4, 0.005 * 25.4)],
        ),
        example(
            "runoff-depth",
            r#"{"curve_number":75,"rain_mm":152.4,"abstraction_ratio":0.2}"#,
            "TR-55, example 2-2: 3.28 in",
            &[("/runoff_mm", 3.28 * 25.4, 0.005 * 25.4)],
        ),
        example(
            "runoff-peak",
            r#"{"runoff_coefficient":1,"intensity_mm_h":25.4,"area_m2":4046.8564224}"#,
            "the method's factor: 1 in/h on an acre is 1.008 ft³/s",
            &[("/flow_lps", 1.008 * FT3_L, 0.0005 * FT3_L)],
        ),
        example(
            "swale-flow",
            r#"{"bottom_m":0.6,"side_slope":3,"depth_m":0.15,"slope":0.02,"n":0.04}"#,
            "worked by hand",
            &[
                ("/area_m2", 0.1575, 5e-8),
                ("/hydraulic_radius_m", 0.101_70, 5e-6),
                ("/velocity_ms", 0.7703, 5e-5),
                ("/flow_lps", 121.3, 0.05),
            ],
        ),
        example(
            "swale-flow",
            r#"{"bottom_m":0,"side_slope":4,"depth_m":0.2,"slope":0.02,"n":0.035}"#,
            "a triangle worked by hand",
            &[("/hydraulic_radius_m", 0.097_01, 5e-6), ("/velocity_ms", 0.8531, 5e-5), ("/flow_lps", 136.5, 0.05)],
        ),
        example(
            "soil-loss",
            r#"{"r_mj_mm_ha_h":2723.2,"k_t_ha_h_ha_mj_mm":0.055314,"length_m":18.288,"slope_pct":15,"rill":"high","c":1,"p":1}"#,
            "60 ft at 15 %, worked by hand",
            &[("/ls", 1.7326, 0.00005), ("/loss_t_ha", 261.0, 0.05)],
        ),
        example(
            "soil-loss",
            r#"{"r_mj_mm_ha_h":1000,"k_t_ha_h_ha_mj_mm":0.03,"length_m":1.8288,"slope_pct":14,"rill":"moderate","c":0.1,"p":1}"#,
            "Agriculture Handbook 703, Table 4-2: 6 ft at 14 %, 0.58",
            &[("/ls", 0.58, 0.005)],
        ),
    ]
}

fn colour_and_pool() -> Vec<Example> {
    vec![
        example(
            "colour-index",
            r#"{"r":81,"g":127,"b":45}"#,
            "Karcher and Richardson 2003, the definition worked by hand",
            &[
                ("/hue_deg", 93.658_54, 5e-6),
                ("/saturation", 0.645_669, 5e-7),
                ("/brightness", 0.498_039, 5e-7),
                ("/dgci", 0.472_422, 5e-7),
            ],
        ),
        example(
            "colour-difference",
            r#"{"lab_a":[50,2.6772,-79.7751],"lab_b":[50,0,-82.7485]}"#,
            "Sharma, Wu and Dalal 2005, Table 1, pair 1",
            &[("/delta_e", 2.0425, 0.0001)],
        ),
        example(
            "colour-difference",
            r#"{"lab_a":[22.7233,20.0904,-46.694],"lab_b":[23.0331,14.973,-42.5619]}"#,
            "Sharma, Wu and Dalal 2005, Table 1, pair 29",
            &[("/delta_e", 2.0373, 0.0001)],
        ),
        example(
            "pool-balance",
            r#"{"ph":7,"water_c":24.444444444444443,"calcium_mg_l":200,"alkalinity_mg_l":50}"#,
            "operator course, sample problem 1, with a table rounded to tenths",
            &[("/saturation_index", -0.9, 0.1)],
        ),
        example(
            "pool-balance",
            r#"{"ph":7.6,"water_c":28.88888888888889,"calcium_mg_l":300,"alkalinity_mg_l":75,"solids_mg_l":800}"#,
            "operator course, sample problem 2",
            &[("/saturation_index", 0.2, 0.1)],
        ),
        example(
            "pool-balance",
            r#"{"ph":7.2,"water_c":24.444444444444443,"calcium_mg_l":400,"alkalinity_mg_l":127,"cyanuric_mg_l":100,"solids_mg_l":2500}"#,
            "worked by hand: carbonates 100; 7.2 + 0.6 + 2.602060 − 0.4 + 2 − 12.3",
            &[("/saturation_index", -0.297_940, 5e-7)],
        ),
    ]
}
