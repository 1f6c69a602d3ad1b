//! Square codes in a photo: what a phone's camera saw of a tag, read here and kept nowhere.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

use rqrr::PreparedImage;

use crate::photo::{self, Grey};
use crate::refusal::Refusal;

/// Longer sides at which a photo is looked through, in pixels: a code that fills it is found in a smaller one, a code at its
/// edge only in the larger.
const SIDES: [usize; 3] = [1600, 800, 400];
/// How often every pixel is evened out with its neighbours, at most.
const MOST_SMOOTHED: usize = 2;
/// Looking takes this long at most.
const PATIENCE: Duration = Duration::from_secs(5);
/// Codes that are told.
const MOST_CODES: usize = 40;
/// Corner marks, and what looks like them, in a photo: a sheet with sixty tags has 180. The search compares them by threes.
const MOST_MARKS: usize = 240;

/// Whether somebody's photo is being looked through: the next one waits for nothing and is refused.
static LOOKING: AtomicBool = AtomicBool::new(false);

/// What was seen in a photo.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(crate) struct Seen {
    /// What its codes say, each once.
    pub(crate) read: Vec<String>,
    /// Whether there were others beside them that could not be read.
    pub(crate) others: bool,
}

/// What the square codes of a photo say.
///
/// # Errors
/// What is no photo, is too large, or takes too long to look through.
pub(crate) fn codes(bytes: &[u8]) -> Result<Seen, Refusal> {
    within(photo::grey(bytes, SIDES[0])?, PATIENCE)
}

/// Looks on a thread of its own: nothing can be told to a search that has begun, so after its time it is left alone.
fn within(grey: Grey, patience: Duration) -> Result<Seen, Refusal> {
    let busy = || {
        Refusal::new(503, "another photo is still being looked through", "the same photo again in a moment")
    };
    if LOOKING.swap(true, Ordering::SeqCst) {
        return Err(busy());
    }
    let (tell, told) = mpsc::channel();
    let looking = thread::Builder::new().name("codes".to_owned()).spawn(move || {
        // A fault in the reader is no code, and no reason to stop serving.
        let found =
            catch_unwind(AssertUnwindSafe(|| search(&grey))).unwrap_or_else(|_| Some(Seen::default()));
        LOOKING.store(false, Ordering::SeqCst);
        let _ = tell.send(found);
    });
    if let Err(error) = looking {
        LOOKING.store(false, Ordering::SeqCst);
        return Err(Refusal::new(
            500,
            format!("no photo can be looked through now: {error}"),
            "a little later",
        ));
    }
    told.recv_timeout(patience).ok().flatten().ok_or_else(|| {
        Refusal::new(
            415,
            "there is so much in this photo that no code was found in time",
            "a photo of one tag alone, from as near as it stays sharp",
        )
    })
}

/// The codes at every size, the largest first; what one size has, another need not find again.
///
/// None where there is so much in it that the search would not come to an end.
fn search(grey: &Grey) -> Option<Seen> {
    let mut found: Vec<String> = Vec::new();
    let (mut most, mut others) = (0, false);
    let mut crowded = false;
    let longer = grey.width.max(grey.height);
    // A photo that is small already is the same at several of them.
    let sides = SIDES.into_iter().filter(|side| *side == SIDES[0] || *side < longer);
    // What bad light has put into it is evened out where nothing was found without that.
    for (times, side) in (0..=MOST_SMOOTHED).flat_map(|times| sides.clone().map(move |side| (times, side))) {
        let small = (0..times).fold(grey.shrunk(side), |grey, _| smoothed(&grey));
        let (width, height) = (small.width, small.height);
        let mut image =
            PreparedImage::prepare_from_greyscale(width, height, |x, y| small.values[y * width + x]);
        let corner = image.get_pixel_at(0, 0);
        let all = (0..width * height).map(|at| image.get_pixel_at(at % width, at / width) == corner);
        let picture = Picture { width, height, one_of_two: all.collect() };
        let marks = picture.marks();
        if marks.len() > MOST_MARKS {
            crowded = true;
            continue;
        }
        let grids = image.detect_grids();
        // Those that were made out at any size; runs inside a code look like corner marks too.
        most = most.max(grids.len());
        let places: Vec<[rqrr::Point; 4]> = grids.iter().map(|grid| grid.bounds).collect();
        let corners = marks.iter().filter(|mark| picture.is_corner(mark, &small));
        let (own, strays): (Vec<&Mark>, Vec<&Mark>) =
            corners.partition(|mark| places.iter().any(|bounds| is_within(mark, bounds)));
        // About as large as those of a code that is there: noise is small.
        let is_like =
            |stray: &&Mark| own.iter().any(|own| 2 * stray.side >= own.side && stray.side <= 2 * own.side);
        let stray = strays.iter().any(is_like);
        let texts: Vec<String> = grids.into_iter().filter_map(|grid| Some(grid.decode().ok()?.1)).collect();
        others = stray || most > texts.len() || texts.len() > MOST_CODES;
        for text in texts.into_iter().take(MOST_CODES) {
            if !found.contains(&text) {
                found.push(text);
            }
        }
        if !found.is_empty() {
            break;
        }
    }
    let others = others && !found.is_empty();
    (!found.is_empty() || !crowded).then_some(Seen { read: found, others })
}

/// What may be the corner mark of a code.
struct Mark {
    /// Its middle.
    x: usize,
    /// A row through its core.
    y: usize,
    /// How wide it is.
    side: usize,
}

/// A photo as black and white.
struct Picture {
    width: usize,
    height: usize,
    /// Of each pixel, row by row, which of the two it is.
    one_of_two: Vec<bool>,
}

/// Runs that a corner mark has across its middle: 1, 1, 3, 1, 1 (ISO/IEC 18004), each within three quarters of a module, as the
/// search itself has it.
fn is_mark(runs: [usize; 5]) -> bool {
    let all: usize = runs.iter().sum();
    let fits = |(run, modules): (&usize, usize)| (28 * run).abs_diff(4 * modules * all) <= 3 * all;
    runs[0] > 0 && runs.iter().zip([1, 1, 3, 1, 1]).all(fits)
}

impl Picture {
    fn at(&self, x: usize, y: usize) -> bool {
        self.one_of_two[y * self.width + x]
    }

    /// Marks that may be corners of a code, by their rows, three of them at least.
    fn marks(&self) -> Vec<Mark> {
        let mut marks = Vec::new();
        // Middle, width, and how many rows each went on.
        let mut above: Vec<(usize, usize, usize)> = Vec::new();
        for y in 0..self.height {
            let mut here = Vec::new();
            let (mut runs, mut length) = ([0_usize; 5], 1);
            for x in 1..=self.width {
                if x < self.width && self.at(x, y) == self.at(x - 1, y) {
                    length += 1;
                    continue;
                }
                runs.rotate_left(1);
                runs[4] = length;
                length = 1;
                if !is_mark(runs) {
                    continue;
                }
                let all: usize = runs.iter().sum();
                let middle = x - all / 2;
                let before = above.iter().find(|one| one.0.abs_diff(middle) <= 2 && one.1.abs_diff(all) <= 3);
                let rows = before.map_or(1, |one| one.2 + 1);
                if rows == 3 {
                    marks.push(Mark { x: middle, y, side: all });
                }
                here.push((middle, all, rows));
            }
            above = here;
        }
        marks
    }

    /// Whether a mark has the same runs from top to bottom, about as long, and is dark on light.
    fn is_corner(&self, mark: &Mark, grey: &Grey) -> bool {
        let runs_from = |ys: &mut dyn Iterator<Item = usize>| {
            let (mut runs, mut run, mut is_core) = ([0_usize; 3], 0, self.at(mark.x, mark.y));
            for y in ys {
                if self.at(mark.x, y) != is_core {
                    (run, is_core) = (run + 1, !is_core);
                }
                match runs.get_mut(run) {
                    Some(run) => *run += 1,
                    None => break,
                }
            }
            runs
        };
        let up = runs_from(&mut (0..mark.y).rev());
        let down = runs_from(&mut (mark.y..self.height));
        let runs = [up[2], up[1], up[0] + down[0], down[1], down[2]];
        let all: usize = runs.iter().sum();
        let value = |x: usize| grey.values[mark.y * self.width + x.min(self.width - 1)];
        // Two modules from the middle is the light ring.
        let ring = value(mark.x + 2 * mark.side / 7);
        is_mark(runs) && 3 * all.abs_diff(mark.side) <= mark.side && value(mark.x) < ring
    }
}

/// Whether a mark lies in a code, or as near to it as the search is wrong about its edges.
fn is_within(mark: &Mark, bounds: &[rqrr::Point; 4]) -> bool {
    let within = |at: usize, all: [i32; 4]| {
        let (least, most) = (all.into_iter().min().unwrap_or(0), all.into_iter().max().unwrap_or(0));
        let slack = (most - least) / 8;
        i32::try_from(at).is_ok_and(|at| (least - slack..=most + slack).contains(&at))
    };
    within(mark.x, bounds.map(|point| point.x)) && within(mark.y, bounds.map(|point| point.y))
}

/// Every pixel the mean of itself and its neighbours.
fn smoothed(grey: &Grey) -> Grey {
    let (width, height) = (grey.width, grey.height);
    let near = |at: usize, all: usize| at.saturating_sub(1)..(at + 2).min(all);
    let mut values = Vec::with_capacity(grey.values.len());
    for y in 0..height {
        for x in 0..width {
            let columns = near(x, width);
            let rows = near(y, height).map(|row| &grey.values[row * width..][columns.clone()]);
            let (sum, count) = rows.fold((0, 0), |(sum, count), row| {
                (sum + row.iter().map(|value| u32::from(*value)).sum::<u32>(), count + row.len())
            });
            values.push(u8::try_from(sum / u32::try_from(count).unwrap_or(1)).unwrap_or(u8::MAX));
        }
    }
    Grey { width, height, values }
}

#[cfg(test)]
mod tests {
    use std::sync::{Mutex, MutexGuard, PoisonError};

    use image::{ExtendedColorType, ImageEncoder};
    use proptest::prelude::*;
    use qrcode::{Color, QrCode};

    use super::*;

    /// One photo is looked through at a time, in tests too.
    static TURN: Mutex<()> = Mutex::new(());

    fn turn() -> MutexGuard<'static, ()> {
        TURN.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A code with modules of so many pixels on grey paper of this size, its corner at `at`.
    fn paper(side: usize, codes: &[(&str, usize, (usize, usize))]) -> Grey {
        let mut values = vec![225; side * side];
        for (text, module, (left, top)) in codes {
            let code = QrCode::new(text.as_bytes()).unwrap();
            let (width, colours) = (code.width(), code.to_colors());
            for y in 0..(width + 8) * module {
                for x in 0..(width + 8) * module {
                    let (column, row) = ((x / module).wrapping_sub(4), (y / module).wrapping_sub(4));
                    let dark = column < width && row < width && colours[row * width + column] == Color::Dark;
                    values[(top + y) * side + left + x] = if dark { 40 } else { 245 };
                }
            }
        }
        Grey { width: side, height: side, values }
    }

    /// Turned by a quarter, so many times.
    fn turned(grey: &Grey, times: usize) -> Grey {
        let mut grey = Grey { width: grey.width, height: grey.height, values: grey.values.clone() };
        for _ in 0..times {
            let (width, height) = (grey.height, grey.width);
            let at = |x: usize, y: usize| grey.values[(grey.height - 1 - x) * grey.width + y];
            let values = (0..height).flat_map(|y| (0..width).map(move |x| (x, y))).map(|(x, y)| at(x, y));
            grey = Grey { width, height, values: values.collect() };
        }
        grey
    }

    fn as_jpeg(grey: &Grey, quality: u8) -> Vec<u8> {
        let mut out = Vec::new();
        let (width, height) = (u32::try_from(grey.width).unwrap(), u32::try_from(grey.height).unwrap());
        image::codecs::jpeg::JpegEncoder::new_with_quality(&mut out, quality)
            .write_image(&grey.values, width, height, ExtendedColorType::L8)
            .unwrap();
        out
    }

    const TAG: &str = "loopwright:orchard-row-veterinary-hospital/C07";

    #[test]
    fn a_tag_is_read_turned_small_and_large() {
        let _turn = turn();
        for (side, module) in [(300, 4), (900, 3), (900, 9), (1400, 4)] {
            for times in 0..4 {
                let sent = as_jpeg(&turned(&paper(side, &[(TAG, module, (side / 8, side / 9))]), times), 80);
                let seen = codes(&sent).unwrap();
                assert_eq!(
                    (seen.read.as_slice(), seen.others),
                    (&[TAG.to_owned()][..], false),
                    "{side} px, {module} px a module, turned {times} times"
                );
            }
        }
    }

    #[test]
    fn words_of_a_tag_come_out_as_they_are_and_two_codes_are_two() {
        let _turn = turn();
        let hostile = "loopwright:x/<script>alert(1)</script>\r\n\u{202e}Ä";
        let both = as_jpeg(&paper(900, &[(hostile, 4, (20, 20)), (TAG, 4, (400, 450))]), 90);
        let mut read = codes(&both).unwrap().read;
        read.sort();
        let mut wanted = [hostile, TAG];
        wanted.sort_unstable();
        assert_eq!(read, wanted);
    }

    #[test]
    fn two_tags_that_are_read_leave_no_others() {
        let _turn = turn();
        let grey = paper(900, &[("loopwright:x/C01", 6, (20, 20)), (TAG, 6, (400, 450))]);
        assert!(!codes(&as_jpeg(&grey, 90)).unwrap().others);
    }

    /// A thumb over the second tag, or the photo's edge: what is left of it shows a corner or two and cannot be read.
    #[test]
    fn a_second_tag_that_is_half_hidden_is_told() {
        let _turn = turn();
        let both = || paper(900, &[("loopwright:x/C01", 6, (20, 20)), (TAG, 6, (400, 450))]);
        let second = (400 + 4 * 6, 450 + 4 * 6);
        let side = QrCode::new(TAG).unwrap().width() * 6;
        for (from, to) in [
            ((side / 2, 0), (side, side)),
            ((0, side / 2), (side, side)),
            ((0, 0), (side / 2, side)),
            ((side / 3, side / 3), (side, side)),
        ] {
            let mut grey = both();
            for y in from.1..to.1 {
                for x in from.0..to.0 {
                    grey.values[(second.1 + y) * 900 + second.0 + x] = 150;
                }
            }
            for times in 0..4 {
                let seen = codes(&as_jpeg(&turned(&grey, times), 85)).unwrap();
                assert_eq!(
                    (seen.read.as_slice(), seen.others),
                    (&["loopwright:x/C01".to_owned()][..], true),
                    "{from:?} {to:?}"
                );
            }
        }
    }

    #[test]
    fn paper_without_a_code_has_none_and_what_is_no_photo_is_refused() {
        let _turn = turn();
        assert_eq!(codes(&as_jpeg(&paper(640, &[]), 80)).unwrap().read, Vec::<String>::new());
        assert_eq!(codes(b"GIF89a").unwrap_err().status, 415);
        assert_eq!(codes(b"").unwrap_err().status, 415);
    }

    #[test]
    fn a_search_that_does_not_end_is_left_alone() {
        let _turn = turn();
        let refused = within(paper(1600, &[(TAG, 8, (90, 90))]), Duration::ZERO).unwrap_err();
        assert!(refused.text.contains("in time"), "{}", refused.text);
        while LOOKING.load(Ordering::SeqCst) {
            thread::yield_now();
        }
        assert_eq!(within(paper(400, &[(TAG, 5, (40, 40))]), PATIENCE).unwrap().read, [TAG]);
    }

    #[test]
    fn a_photo_full_of_corner_marks_is_not_searched() {
        let _turn = turn();
        let ring = |x: usize, y: usize| {
            let (x, y) = ((x % 20) / 2, (y % 20) / 2);
            let inside = x < 7 && y < 7;
            inside && (x.min(y) == 0 || x.max(y) == 6 || ((2..5).contains(&x) && (2..5).contains(&y)))
        };
        let values = (0..1600 * 1600).map(|at| if ring(at % 1600, at / 1600) { 20 } else { 230 }).collect();
        let refused =
            within(Grey { width: 1600, height: 1600, values }, Duration::from_secs(20)).unwrap_err();
        assert!(refused.text.contains("so much in this photo"), "{}", refused.text);
        assert!(!LOOKING.load(Ordering::SeqCst), "nobody is looking any more");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(16))]

        #[test]
        fn a_noisy_photo_is_read_and_noise_alone_is_no_code(seed in any::<u32>(), strength in 0_i32..36) {
            let _turn = turn();
            let mut random = seed | 1;
            let mut noise = move || {
                random ^= random << 13;
                random ^= random >> 17;
                random ^= random << 5;
                i32::try_from(random % 201).unwrap_or(0) - 100
            };
            let mut grey = paper(420, &[(TAG, 6, (30, 50))]);
            for value in &mut grey.values {
                *value = u8::try_from((i32::from(*value) + noise() * strength / 100).clamp(0, 255)).unwrap();
            }
            let seen = codes(&as_jpeg(&grey, 70)).unwrap();
            prop_assert_eq!((seen.read, seen.others), (vec![TAG.to_owned()], false));
            let mut only = paper(300, &[]);
            for value in &mut only.values {
                *value = u8::try_from((128 + noise()).clamp(0, 255)).unwrap();
            }
            // None, or so much of nothing that it is not searched.
            prop_assert_eq!(codes(&as_jpeg(&only, 70)).unwrap_or_default().read, Vec::<String>::new());
        }
    }
}
