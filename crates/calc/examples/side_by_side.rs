//! Times Toft's side of `tests/reference/bench.py`: `side_by_side et0|pipe-network|coverage`, the item or items as JSON on standard
//! input, one JSON object of seconds on standard output. Each figure is the best of several rounds.

use std::error::Error;
use std::hint::black_box;
use std::io::{Read, Write};
use std::time::{Duration, Instant};

use calc::{Model, run_stream};
use reckon::coverage::{CoverageInput, Head, coverage};
use reckon::evapotranspiration::{
    Et0Input, Humidity, Radiation, et0_penman_monteith_fao56, et0_penman_monteith_fao56_batch,
};
use reckon::network::{NetworkInput, Node, Pipe, Source, pipe_network};
use reckon::units::{
    Celsius, Degrees, LitresPerMinute, LitresPerSecond, MegajoulesPerSquareMetre, Metres, MetresPerSecond, Millimetres,
};
use serde_json::{Value, json};

/// A figure's rounds go on until both are reached.
const ROUNDS_MIN: u32 = 5;
const TIME_MIN: Duration = Duration::from_millis(1_500);

fn main() -> Result<(), Box<dyn Error>> {
    let name = std::env::args().nth(1).unwrap_or_default();
    let model = calc::find(&name).ok_or("say et0, pipe-network or coverage")?;
    let mut text = Vec::new();
    std::io::stdin().read_to_end(&mut text)?;
    let items: Value = serde_json::from_slice(&text)?;
    let mut found = match name.as_str() {
        "et0" => {
            let days: Vec<Et0Input> = items.as_array().ok_or("an array of days")?.iter().map(day).collect();
            let one_core = rayon::ThreadPoolBuilder::new().num_threads(1).build()?;
            json!({
                "one_by_one": best(|| days.iter().map(et0_penman_monteith_fao56).collect::<Vec<_>>()),
                "batch_on_one_core": one_core.install(|| best(|| et0_penman_monteith_fao56_batch(&days))),
                "batch": best(|| et0_penman_monteith_fao56_batch(&days)),
                "cores": rayon::current_num_threads(),
            })
        }
        "pipe-network" => {
            let network = network(&items);
            pipe_network(&network)?;
            json!({ "in_memory": best(|| pipe_network(&network)) })
        }
        "coverage" => {
            let ground = ground(&items);
            coverage(&ground)?;
            json!({ "in_memory": best(|| coverage(&ground)) })
        }
        _ => return Err("say et0, pipe-network or coverage".into()),
    };
    found["json"] = json!(best(|| through_json(model, &text)));
    found["json_bytes"] = json!(through_json(model, &text));
    Ok(writeln!(std::io::stdout(), "{found}")?)
}

/// Bytes written when the document is answered, working and all.
fn through_json(model: &Model, text: &[u8]) -> u64 {
    let mut counted = Counted(0);
    run_stream(model, text, &mut counted).map_or(0, |_| counted.0)
}

struct Counted(u64);

impl Write for Counted {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0 += black_box(bytes).len() as u64;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

fn best<T>(mut work: impl FnMut() -> T) -> f64 {
    let begun = Instant::now();
    let (mut shortest, mut rounds) = (f64::INFINITY, 0);
    while rounds < ROUNDS_MIN || begun.elapsed() < TIME_MIN {
        let start = Instant::now();
        black_box(work());
        shortest = shortest.min(start.elapsed().as_secs_f64());
        rounds += 1;
    }
    shortest
}

fn figure(of: &Value, field: &str) -> f64 {
    of[field].as_f64().unwrap_or_default()
}

fn text(of: &Value, field: &str) -> String {
    of[field].as_str().unwrap_or_default().to_owned()
}

fn each<T>(of: &Value, make: impl Fn(&Value) -> T) -> Vec<T> {
    of.as_array().into_iter().flatten().map(make).collect()
}

fn day(item: &Value) -> Et0Input {
    Et0Input {
        latitude: Degrees::new(figure(item, "latitude_deg")),
        elevation: Metres::new(figure(item, "elevation_m")),
        day_of_year: figure(item, "day_of_year") as u16,
        tmin: Celsius::new(figure(item, "tmin_c")),
        tmax: Celsius::new(figure(item, "tmax_c")),
        wind: MetresPerSecond::new(figure(item, "wind_ms")),
        wind_height: Metres::new(figure(item, "wind_height_m")),
        humidity: Humidity::DewPoint(Celsius::new(figure(item, "dewpoint_c"))),
        radiation: Radiation::Solar(MegajoulesPerSquareMetre::new(figure(item, "solar_mj_m2"))),
    }
}

fn network(item: &Value) -> NetworkInput {
    let node = |node: &Value| Node {
        id: text(node, "id"),
        elevation: Metres::new(figure(node, "elevation_m")),
        demand: LitresPerSecond::new(figure(node, "demand_lps")),
    };
    let pipe = |pipe: &Value| Pipe {
        id: text(pipe, "id"),
        from: text(pipe, "from"),
        to: text(pipe, "to"),
        length: Metres::new(figure(pipe, "length_m")),
        inside: Millimetres::new(figure(pipe, "inside_mm")),
        c: figure(pipe, "c"),
        minor_k: 0.0,
    };
    let source = &item["source"];
    NetworkInput {
        source: Source { id: text(source, "id"), head: Metres::new(figure(source, "head_m")) },
        nodes: each(&item["nodes"], node),
        pipes: each(&item["pipes"], pipe),
    }
}

fn ground(item: &Value) -> CoverageInput {
    let corner = |corner: &Value| [0, 1].map(|i| corner[i].as_f64().unwrap_or_default());
    let head = |head: &Value| Head {
        x: Metres::new(figure(head, "x_m")),
        y: Metres::new(figure(head, "y_m")),
        radius: Metres::new(figure(head, "radius_m")),
        arc_from: Degrees::new(figure(head, "arc_from_deg")),
        arc: Degrees::new(figure(head, "arc_deg")),
        flow: LitresPerMinute::new(figure(head, "flow_lpm")),
        profile: None,
        lean: None,
    };
    CoverageInput {
        area_m: each(&item["area"], corner),
        holes_m: each(&item["holes"], |ring| each(ring, corner)),
        heads: each(&item["heads"], head),
        cell: Metres::new(figure(item, "cell_m")),
    }
}
