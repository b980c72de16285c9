//! `toft serve`, and the wiring of the pages to a port of this machine.

use std::net::{Ipv4Addr, SocketAddr};
use std::path::Path;
use std::process::ExitCode;

use tokio::net::TcpListener;
use web::{Site, Today};

use crate::args::ServeArgs;
use crate::home;
use crate::problem::Problem;

/// How many ports after the first are tried.
const PORTS_TRIED: u16 = 50;

/// `toft serve`.
pub fn run(told: Option<&Path>, args: &ServeArgs) -> Result<ExitCode, Problem> {
    let path = home::path(told)?;
    let ledger = if path.exists() {
        ledger::Ledger::open(&path)?
    } else {
        println!("There is no yard at {} yet: the page asks for it.", path.display());
        home::create(&path)?
    };
    let site = Site::new(ledger, Today::Clock).map_err(|e| Problem::Machine(e.to_string()))?;
    open(site, args.port, |address| {
        println!("Your yard is open at {address}  (Ctrl-C closes it)");
        println!("It is kept in {}", path.display());
    })
}

/// Serves a site on the first free port from `port` on, until the process is told to stop.
pub fn open(site: Site, port: u16, announce: impl FnOnce(&str)) -> Result<ExitCode, Problem> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(|e| Problem::machine("starting", e))?;
    runtime.block_on(async {
        let listener = bind(port).await?;
        let address = listener.local_addr().map_err(|e| Problem::machine("the port", e))?;
        announce(&format!("http://{address}/"));
        web::serve(site, listener, stop()).await.map_err(|e| Problem::machine("serving", e))?;
        Ok(ExitCode::SUCCESS)
    })
}

async fn bind(port: u16) -> Result<TcpListener, Problem> {
    let mut last = None;
    for candidate in port..=port.saturating_add(PORTS_TRIED) {
        match TcpListener::bind(SocketAddr::from((Ipv4Addr::LOCALHOST, candidate))).await {
            Ok(listener) => return Ok(listener),
            Err(e) => last = Some(e),
        }
    }
    let reason = last.map_or_else(String::new, |e| e.to_string());
    Err(Problem::Machine(format!("no free port from {port} to {}: {reason}", port.saturating_add(PORTS_TRIED))))
}

async fn stop() {
    // Where no signal can be listened for, the process simply runs until it is ended.
    if tokio::signal::ctrl_c().await.is_err() {
        std::future::pending::<()>().await;
    }
}
