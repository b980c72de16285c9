//! What the pages stand on: the ledger, the facts folded out of it, and the day.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, RwLock};

use almanac::Almanac;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan};
use ledger::{ForecastSummary, ImportSummary, Ledger, LedgerError, Picture, PictureAbout, WeatherImport};
use ulid::Ulid;
use yard::entry::{Withdrawn, YardFacts};
use yard::weather::NoWeather;
use yard::{Body, Entry, Fault, Forecast, Weather, WeatherDay, WeatherRecord};

use crate::once::Once;
use crate::pages::map::files::Waiting;
use crate::record::{RecordError, new_entry};

/// Which day it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Today {
    /// The system clock, in the yard's time zone.
    Clock,
    /// A demo: it starts on this day, and the person can step it.
    Stepped(Date),
}

/// Why the pages cannot be served from a ledger.
#[derive(Debug, thiserror::Error)]
pub enum WebError {
    /// The ledger refused or failed.
    #[error(transparent)]
    Ledger(#[from] LedgerError),
    /// There is neither a weather record nor a built-in climate.
    #[error(transparent)]
    Weather(#[from] NoWeather),
    /// The system gave no random bytes for the form token.
    #[error("the system gave no random bytes: {0}. Try again")]
    Random(String),
}

/// The facts as of the last write: shared by every request, never changed, only replaced.
#[derive(Debug)]
pub(crate) struct Facts {
    /// Every entry, in the order recorded.
    pub(crate) entries: Vec<Entry>,
    /// The yard's latest name, place and habits.
    pub(crate) yard: Option<YardFacts>,
    /// The merged weather record as imported.
    pub(crate) record: Arc<[WeatherDay]>,
    /// The forecasts kept.
    pub(crate) forecasts: Arc<[Forecast]>,
    /// The weather at the yard's place; `None` until there is a yard.
    pub(crate) weather: Option<Arc<Weather>>,
    /// The files taken in.
    pub(crate) imports: Vec<WeatherImport>,
}

impl Facts {
    fn of(
        entries: Vec<Entry>,
        record: Arc<[WeatherDay]>,
        forecasts: Arc<[Forecast]>,
        imports: Vec<WeatherImport>,
        before: Option<&Facts>,
    ) -> Result<Self, NoWeather> {
        let yard = yard::in_force(&entries).into_iter().rev().find_map(|e| match &e.body {
            Body::Yard(facts) => Some(facts.clone()),
            _ => None,
        });
        let kept = before.filter(|b| {
            Arc::ptr_eq(&b.record, &record)
                && Arc::ptr_eq(&b.forecasts, &forecasts)
                && b.yard.as_ref().map(|y| y.place) == yard.as_ref().map(|y| y.place)
        });
        let weather = match (kept, &yard) {
            (Some(before), _) => before.weather.clone(),
            (None, Some(facts)) => {
                let built = Weather::build(facts.place, &record, Almanac::embedded())?;
                Some(Arc::new(built.with_forecasts(forecasts.to_vec())))
            }
            (None, None) => None,
        };
        Ok(Self { entries, yard, record, forecasts, weather, imports })
    }

    /// The entry of this id.
    pub(crate) fn entry(&self, id: &str) -> Option<&Entry> {
        self.entries.iter().find(|e| e.id == id)
    }

    /// The entry that took the place of this one.
    pub(crate) fn superseded_by(&self, id: &str) -> Option<&Entry> {
        self.entries.iter().find(|e| e.supersedes.as_deref() == Some(id))
    }
}

#[derive(Debug)]
struct Inner {
    ledger: Mutex<Ledger>,
    facts: RwLock<Arc<Facts>>,
    today: Today,
    stepped: Mutex<Date>,
    token: String,
    once: Mutex<Once>,
    waiting: Mutex<VecDeque<(String, Waiting)>>,
    /// The version of the file whose facts are known.
    seen: Mutex<i64>,
}

/// Files that wait for their choices at once.
const WAITING_MAX: usize = 3;

/// A ledger made ready for pages. A clone is the same site.
#[derive(Clone, Debug)]
pub struct Site(Arc<Inner>);

fn held<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    // A panic while the lock was held leaves nothing half-done: the ledger writes in transactions, the facts are swapped whole.
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Site {
    /// Reads the ledger, folds it once and builds the weather once.
    ///
    /// # Errors
    /// [`WebError`]: the ledger cannot be read, or there is no weather at all for the yard's place.
    pub fn new(ledger: Ledger, today: Today) -> Result<Site, WebError> {
        let mut bytes = [0u8; 32];
        getrandom::fill(&mut bytes).map_err(|e| WebError::Random(e.to_string()))?;
        let token = bytes.iter().map(|b| format!("{b:02x}")).collect();
        let record: Arc<[WeatherDay]> = ledger.weather_days()?.into();
        let facts = Facts::of(ledger.entries()?, record, ledger.forecasts()?.into(), ledger.weather_imports()?, None)?;
        let stepped = match today {
            Today::Stepped(date) => date,
            Today::Clock => Date::ZERO,
        };
        let seen = Mutex::new(ledger.data_version()?);
        Ok(Site(Arc::new(Inner {
            ledger: Mutex::new(ledger),
            facts: RwLock::new(Arc::new(facts)),
            today,
            stepped: Mutex::new(stepped),
            token,
            once: Mutex::default(),
            waiting: Mutex::default(),
            seen,
        })))
    }

    /// Today: by the clock in the yard's time zone, or the demo's day.
    pub fn today(&self) -> Date {
        match self.0.today {
            Today::Clock => Timestamp::now().to_zoned_datetime(self.time_zone()).date(),
            Today::Stepped(_) => *held(&self.0.stepped),
        }
    }

    /// The yard's time zone; the machine's own where none was told.
    pub(crate) fn time_zone(&self) -> TimeZone {
        let told = self.facts().yard.as_ref().and_then(|y| y.time_zone.clone());
        told.and_then(|name| TimeZone::get(&name).ok()).unwrap_or_else(TimeZone::system)
    }

    /// The first day of the demo, when this is one.
    pub(crate) fn demo_start(&self) -> Option<Date> {
        match self.0.today {
            Today::Stepped(start) => Some(start),
            Today::Clock => None,
        }
    }

    /// Moves the demo's day on; `None` goes back to the start. Nothing happens where the clock tells the day.
    pub(crate) fn step(&self, days: Option<i64>) {
        let Some(start) = self.demo_start() else { return };
        let mut day = held(&self.0.stepped);
        *day = match days {
            None => start,
            Some(n) => {
                day.checked_add(n.days()).ok().filter(|d| d.year() <= yard::check_entry::YEAR_MAX).unwrap_or(*day)
            }
        };
    }

    /// Reads the ledger anew where another program, such as the command line, has written to it.
    fn catch_up(&self, ledger: &Ledger) -> Result<(), RecordError> {
        let version = ledger.data_version()?;
        let mut seen = held(&self.0.seen);
        if *seen != version {
            let days: Arc<[WeatherDay]> = ledger.weather_days()?.into();
            let forecasts = ledger.forecasts()?.into();
            self.swap(Facts::of(ledger.entries()?, days, forecasts, ledger.weather_imports()?, None)?);
            *seen = version;
        }
        Ok(())
    }

    /// The facts as of the last write, this program's or another's. While a write is under way, or the file cannot be read just now, those
    /// known before.
    pub(crate) fn facts(&self) -> Arc<Facts> {
        if let Ok(ledger) = self.0.ledger.try_lock() {
            // Told at the next write; a page shows what is known.
            let _ = self.catch_up(&ledger);
        }
        self.0.facts.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// The token every form carries.
    pub(crate) fn token(&self) -> &str {
        &self.0.token
    }

    /// The forms that have stored. Whoever answers a form holds it until the form is stored, so that of two alike on their way
    /// the second finds the first.
    pub(crate) fn once(&self) -> MutexGuard<'_, Once> {
        held(&self.0.once)
    }

    /// Makes entries from the facts, checks, stores and folds them: one lock, one transaction.
    pub(crate) fn store(
        &self,
        make: impl FnOnce(&Facts, Date) -> Result<Vec<Entry>, Vec<Fault>>,
    ) -> Result<Vec<Entry>, RecordError> {
        let mut ledger = held(&self.0.ledger);
        self.catch_up(&ledger)?;
        let before = self.facts();
        let made = make(&before, self.today()).map_err(RecordError::Faults)?;
        // Weather that cannot be built would leave a yard no page can show: find out before anything is written.
        let trial = before.entries.iter().chain(&made).cloned().collect();
        Facts::of(trial, before.record.clone(), before.forecasts.clone(), before.imports.clone(), Some(&before))?;
        ledger.append_all(&made)?;
        let (record, forecasts) = (before.record.clone(), before.forecasts.clone());
        let after = Facts::of(ledger.entries()?, record, forecasts, before.imports.clone(), Some(&before))?;
        self.swap(after);
        Ok(made)
    }

    /// Takes a weather record in.
    pub(crate) fn import_weather(&self, record: &WeatherRecord) -> Result<ImportSummary, RecordError> {
        let mut ledger = held(&self.0.ledger);
        let summary = ledger.import_weather(record, Timestamp::now())?;
        let days: Arc<[WeatherDay]> = ledger.weather_days()?.into();
        let forecasts = ledger.forecasts()?.into();
        self.swap(Facts::of(ledger.entries()?, days, forecasts, ledger.weather_imports()?, None)?);
        Ok(summary)
    }

    /// Takes forecasts in.
    pub(crate) fn import_forecasts(
        &self,
        name: &str,
        format: &str,
        forecasts: &[Forecast],
    ) -> Result<ForecastSummary, RecordError> {
        let mut ledger = held(&self.0.ledger);
        let summary = ledger.import_forecasts(name, format, forecasts, Timestamp::now())?;
        let days: Arc<[WeatherDay]> = ledger.weather_days()?.into();
        let kept = ledger.forecasts()?.into();
        self.swap(Facts::of(ledger.entries()?, days, kept, ledger.weather_imports()?, None)?);
        Ok(summary)
    }

    /// Keeps a file that was looked at until its choices come; the oldest makes room.
    pub(crate) fn keep_waiting(&self, file: Waiting) -> String {
        let key = Ulid::generate().to_string();
        let mut waiting = held(&self.0.waiting);
        waiting.push_back((key.clone(), file));
        if waiting.len() > WAITING_MAX {
            waiting.pop_front();
        }
        key
    }

    /// The file of this key, where it still waits.
    pub(crate) fn waiting(&self, key: &str) -> Option<Waiting> {
        held(&self.0.waiting).iter().find(|(k, _)| k == key).map(|(_, file)| file.clone())
    }

    /// Keeps a picture.
    pub(crate) fn put_picture(&self, bytes: &[u8]) -> Result<PictureAbout, LedgerError> {
        held(&self.0.ledger).put_picture(bytes)
    }

    /// The picture of this hash.
    pub(crate) fn picture(&self, hash: &str) -> Result<Option<Picture>, LedgerError> {
        held(&self.0.ledger).picture(hash)
    }

    /// All entries as JSON Lines.
    pub(crate) fn export(&self) -> Result<Vec<u8>, LedgerError> {
        let mut out = Vec::new();
        held(&self.0.ledger).export(&mut out)?;
        Ok(out)
    }

    /// Withdraws an entry in force.
    pub(crate) fn withdraw(&self, id: &str, why: &str) -> Result<Entry, RecordError> {
        let stored = self.store(|_, today| {
            let body = Body::Withdrawn(Withdrawn { why: why.trim().to_owned() });
            let entry = new_entry(body, today, Some(id.to_owned()));
            let faults = yard::check_entry(&entry, &yard::Yard::default(), Almanac::embedded(), today);
            if faults.is_empty() { Ok(vec![entry]) } else { Err(faults) }
        })?;
        stored.into_iter().next().ok_or_else(|| RecordError::Faults(Vec::new()))
    }

    fn swap(&self, facts: Facts) {
        *self.0.facts.write().unwrap_or_else(PoisonError::into_inner) = Arc::new(facts);
    }
}
