//! A trailing window that knows its median.

use std::collections::VecDeque;

/// The newest values, in order of time and in order of size.
#[derive(Clone, Debug)]
pub struct Sorted {
    length: usize,
    by_time: VecDeque<f64>,
    by_size: Vec<f64>,
}

impl Sorted {
    /// An empty window of at most `length` values.
    pub fn of(length: usize) -> Self {
        Self {
            length,
            by_time: VecDeque::with_capacity(length),
            by_size: Vec::with_capacity(length),
        }
    }

    /// Takes the newest value and forgets the oldest when the window is full.
    pub fn push(&mut self, value: f64) {
        if self.by_time.len() == self.length
            && let Some(oldest) = self.by_time.pop_front()
        {
            slide(&mut self.by_size, oldest, value);
        } else {
            let at = self.by_size.partition_point(|known| *known < value);
            self.by_size.insert(at, value);
        }
        self.by_time.push_back(value);
    }

    /// How many values it holds.
    pub fn count(&self) -> usize {
        self.by_time.len()
    }

    /// The median; zero when nothing came yet.
    pub fn median(&self) -> f64 {
        let upper = self.by_size.len() / 2;
        let lower = self.by_size.len().saturating_sub(1) / 2;
        let at = |i: usize| self.by_size.get(i).copied().unwrap_or(0.0);
        at(lower).midpoint(at(upper))
    }
}

/// Puts `new` into a sorted window in the place of `old`. Counting all of a short window is quicker
/// than to search it: nothing in it has to be guessed.
pub fn slide<T: Copy + PartialOrd>(window: &mut [T], old: T, new: T) {
    let (mut out, mut into) = (0usize, 0usize);
    for value in &*window {
        // As they are no more than the window is long, nothing wraps: a check of each would part what the
        // processor does at once.
        out = out.wrapping_add(usize::from(*value < old));
        into = into.wrapping_add(usize::from(*value < new));
    }
    if into > out {
        into -= 1;
        window.copy_within(out + 1..=into, out);
    } else if into < out {
        window.copy_within(into..out, into + 1);
    }
    if let Some(slot) = window.get_mut(into) {
        *slot = new;
    }
}
