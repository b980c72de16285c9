//! Start times of programmes whose split is known.

/// A programme seen from outside: so long, so often, its starts so far apart.
#[derive(Clone, Copy, Debug)]
pub(super) struct Block {
    pub(super) length: u32,
    /// Least minutes from one start to the next.
    pub(super) apart: u32,
    pub(super) count: u32,
    pub(super) flow: f64,
    pub(super) days: u8,
}

impl Block {
    /// Least span by itself.
    pub(super) fn chain(&self) -> u32 {
        (self.count - 1) * self.apart + self.length
    }
}

/// What may run at the same time.
#[derive(Clone, Copy, Debug)]
pub(super) struct Capacity {
    pub(super) at_once: u32,
    pub(super) supply: f64,
}

/// Starts of each block and the span, when one below `beat` is found; stops at `least`.
pub(super) fn lay(
    blocks: &[Block],
    capacity: &Capacity,
    beat: u32,
    least: u32,
    left: &mut u32,
) -> Option<(Vec<Vec<u32>>, u32)> {
    let mut run = Run {
        blocks,
        capacity,
        least,
        left,
        starts: vec![Vec::new(); blocks.len()],
        placed: Vec::new(),
        beat,
        best: None,
    };
    run.next(0);
    run.best.map(|starts| (starts, run.beat))
}

struct Placed {
    start: u32,
    end: u32,
    block: usize,
}

struct Run<'a> {
    blocks: &'a [Block],
    capacity: &'a Capacity,
    least: u32,
    left: &'a mut u32,
    starts: Vec<Vec<u32>>,
    placed: Vec<Placed>,
    beat: u32,
    best: Option<Vec<Vec<u32>>>,
}

impl Run<'_> {
    fn ready(&self, i: usize) -> u32 {
        self.starts[i].last().map_or(0, |s| s + self.blocks[i].apart)
    }

    fn remaining(&self, i: usize) -> u32 {
        self.blocks[i].count - self.starts[i].len() as u32
    }

    /// Places the runs left in order of their start, none before `from`.
    fn next(&mut self, from: u32) {
        if *self.left == 0 || self.beat <= self.least {
            return;
        }
        *self.left -= 1;
        let mut ways: Vec<(u32, u32, usize)> = (0..self.blocks.len())
            .filter(|&i| self.remaining(i) > 0)
            .map(|i| {
                let block = &self.blocks[i];
                (self.earliest(i, from), u32::MAX - (self.remaining(i) - 1) * block.apart - block.length, i)
            })
            .collect();
        if ways.is_empty() {
            let span = self.placed.iter().map(|p| p.end).max().unwrap_or(0);
            if span < self.beat {
                self.beat = span;
                self.best = Some(self.starts.clone());
            }
            return;
        }
        if !self.hopeful(from) {
            return;
        }
        ways.sort_unstable();
        for (start, _, i) in ways {
            let end = start + self.blocks[i].length;
            self.starts[i].push(start);
            self.placed.push(Placed { start, end, block: i });
            self.next(start);
            self.placed.pop();
            self.starts[i].pop();
        }
    }

    /// Whether the runs left can still end before what must be beaten.
    fn hopeful(&self, from: u32) -> bool {
        let chains = (0..self.blocks.len()).filter(|&i| self.remaining(i) > 0).all(|i| {
            let block = &self.blocks[i];
            self.ready(i).max(from) + (self.remaining(i) - 1) * block.apart + block.length < self.beat
        });
        chains
            && (0..7).all(|day| {
                let on = |i: usize| self.blocks[i].days >> day & 1 == 1;
                let ahead: u32 =
                    (0..self.blocks.len()).filter(|&i| on(i)).map(|i| self.remaining(i) * self.blocks[i].length).sum();
                let under_way: u32 =
                    self.placed.iter().filter(|p| on(p.block)).map(|p| p.end.saturating_sub(p.start.max(from))).sum();
                ahead == 0 || from + (ahead + under_way).div_ceil(self.capacity.at_once) < self.beat
            })
    }

    /// The first minute from `from` on at which the next run of the block finds room.
    fn earliest(&self, i: usize, from: u32) -> u32 {
        let least = self.ready(i).max(from);
        if self.room(i, least) {
            return least;
        }
        let mut ends: Vec<u32> = self.placed.iter().map(|p| p.end).filter(|e| *e > least).collect();
        ends.sort_unstable();
        ends.into_iter().find(|&e| self.room(i, e)).unwrap_or(least)
    }

    /// Whether a run of the block may start at this minute.
    fn room(&self, i: usize, start: u32) -> bool {
        let block = &self.blocks[i];
        let end = start + block.length;
        let beside = |p: &&Placed| p.start < end && p.end > start && self.blocks[p.block].days & block.days != 0;
        let marks = std::iter::once(start).chain(self.placed.iter().filter(beside).map(|p| p.start.max(start)));
        marks.into_iter().all(|mark| {
            (0..7).filter(|day| block.days >> day & 1 == 1).all(|day| {
                let at = |p: &&Placed| p.start <= mark && p.end > mark && self.blocks[p.block].days >> day & 1 == 1;
                let (count, flow) =
                    self.placed.iter().filter(at).fold((0, 0.0), |(n, q), p| (n + 1, q + self.blocks[p.block].flow));
                count < self.capacity.at_once && flow + block.flow <= self.capacity.supply
            })
        })
    }
}
