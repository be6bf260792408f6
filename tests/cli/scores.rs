//! Scores that several tests hand in.

/// A score without a fault: a trumpet and a trombone in a harbour town.
pub const CLEAN: &str = "\
brass 1
title \"Harbour at First Light\"

player Tp1 = trumpet in Bb
player Tb1 = trombone

bar 1  meter 4/4  key Bb major  tempo q = 72
Tp1 | q : p Bb4 C5 D5 Eb5 | w : F5, |
Tb1 | h : p D4 F4         | w : Bb3 |
";

/// One with a fault in its last line: three quarters in a bar of four.
pub const FAULTY: &str = "\
brass 1
player Tp1 = trumpet in Bb
bar 1  meter 4/4  tempo q = 72
Tp1 | q : C5 D5 E5 |
";
