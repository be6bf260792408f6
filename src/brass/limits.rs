//! How low and how high, by level.

use super::level::Level;

/// Limits of one player, all sounding, C4 = 60.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Limits {
    /// Lowest note to be relied on.
    pub low: i32,
    /// Highest note that can be asked for again and again.
    pub comfortable: i32,
    /// Highest note to be relied on now and then.
    pub usual: i32,
    /// What most professionals reach.
    pub reach: i32,
    /// Lowest pedal that is asked for; `None` where pedals are not.
    pub pedal_low: Option<i32>,
}

impl Limits {
    /// The limits of somebody who says how high and how low they go.
    ///
    /// A declared top is this person's usual top and their reach at once; a declared bottom is the end of their pedals too.
    pub fn of_person(self, top: Option<i32>, bottom: Option<i32>) -> Limits {
        let mut limits = self;
        if let Some(top) = top {
            limits.usual = top;
            limits.reach = top;
            limits.comfortable = limits.comfortable.min(top);
            limits.low = limits.low.min(top);
        }
        if let Some(bottom) = bottom {
            limits.low = bottom;
            limits.pedal_low = limits.pedal_low.map(|_| bottom);
            limits.comfortable = limits.comfortable.max(bottom).min(limits.usual);
        }
        limits
    }
}

/// Limits at each level, and of the instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LimitsByLevel {
    /// Lowest note above the pedals, whoever plays.
    pub lowest: i32,
    /// School, amateur, professional.
    levels: [Limits; 3],
}

impl LimitsByLevel {
    /// From the lowest note of the tube and the limits of school, amateur and professional players.
    pub fn new(lowest: i32, levels: [Limits; 3]) -> LimitsByLevel {
        LimitsByLevel { lowest, levels }
    }

    /// The limits at a level.
    pub fn at(&self, level: Level) -> Limits {
        let [school, amateur, professional] = self.levels;
        match level {
            Level::School => school,
            Level::Amateur => amateur,
            Level::Professional => professional,
        }
    }

    /// The limits on a tube whose lowest note is another: nobody goes below it, and those who went to the
    /// bottom of the old one go to the bottom of the new.
    pub fn on_another_tube(self, lowest: i32) -> LimitsByLevel {
        let levels = self.levels.map(|limits| {
            let to_the_bottom = limits.low == self.lowest;
            Limits { low: if to_the_bottom { lowest } else { limits.low.max(lowest) }, ..limits }
        });
        LimitsByLevel { lowest, levels }
    }
}
