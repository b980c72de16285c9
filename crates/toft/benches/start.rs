//! The real program on a large yard (12 zones, 37 years of weather, 20 years of entries): start to first answered request
//! (wanted: under 150 ms), the page of what to do now (under 30 ms), memory (under 80 MB).

#[path = "../../yard/benches/big_yard.rs"]
mod big_yard;

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use yard::WeatherRecord;

const RUNS: usize = 15;
const PORT: &str = "8690";

fn main() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("large.toft");
    {
        let mut ledger = ledger::Ledger::create(&file).expect("a ledger");
        ledger.append_all(&big_yard::entries()).expect("entries");
        let record =
            WeatherRecord { name: "record".into(), format: "csv".into(), place: None, days: big_yard::weather_days() };
        ledger.import_weather(&record, jiff::Timestamp::UNIX_EPOCH).expect("weather");
    }
    let mut starts = Vec::new();
    let mut pages = Vec::new();
    let mut memory = Vec::new();
    for _ in 0..RUNS {
        let begun = Instant::now();
        let (mut child, address) = start(&file);
        get(&address, &format!("/?on={}", big_yard::ON));
        starts.push(begun.elapsed());
        for _ in 0..10 {
            let asked = Instant::now();
            get(&address, &format!("/?on={}", big_yard::ON));
            pages.push(asked.elapsed());
        }
        memory.extend(resident_kib(child.id()));
        child.kill().expect("end it");
        child.wait().expect("end it");
    }
    println!(
        "start to first answered page  median {:>8.1?}  worst {:>8.1?}",
        middle(&mut starts),
        starts.last().expect("runs")
    );
    println!(
        "page of what to do now        median {:>8.1?}  worst {:>8.1?}",
        middle(&mut pages),
        pages.last().expect("runs")
    );
    if let Some(most) = memory.iter().max() {
        println!("resident after eleven pages   most   {:>8.1} MB", *most as f64 / 1024.0);
    }
}

fn middle(times: &mut [Duration]) -> Duration {
    times.sort();
    times[times.len() / 2]
}

fn start(file: &std::path::Path) -> (Child, String) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_toft"))
        .arg("--yard")
        .arg(file)
        .args(["serve", "--port", PORT])
        .stdout(Stdio::piped())
        .spawn()
        .expect("start");
    let mut line = String::new();
    let mut words = BufReader::new(child.stdout.take().expect("its words"));
    words.read_line(&mut line).expect("the address");
    // All it says is read, so that it never writes into a closed pipe.
    words.read_line(&mut line).expect("the file");
    let address = line.split("http://").nth(1).and_then(|r| r.split('/').next()).expect("an address").to_owned();
    (child, address)
}

fn get(address: &str, path: &str) {
    let mut stream = TcpStream::connect(address).expect("connect");
    write!(stream, "GET {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n").expect("ask");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).expect("an answer");
    assert!(answer.starts_with("HTTP/1.1 200"), "{}", &answer[..answer.len().min(200)]);
}

fn resident_kib(process: u32) -> Option<u64> {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    status.lines().find(|l| l.starts_with("VmRSS"))?.split_whitespace().nth(1)?.parse().ok()
}
