//! Photos made anew from their pixels: nothing else of the file that came is kept, neither place nor camera.

use image::ExtendedColorType;
use image::codecs::jpeg::JpegEncoder;
use jpeg_decoder::{CodingProcess, Decoder, PixelFormat};

use crate::refusal::Refusal;

/// The longer side of a kept photo, in pixels: lettering on a terminal strip can still be read, and a usual phone's
/// photo is read at half its size.
const LONGEST: usize = 2000;

/// The largest JPEG that is opened, in pixels.
const MOST_PIXELS: usize = 50_000_000;

/// The largest PNG, which cannot be read at a part of its size; and the largest JPEG of a kind that must be held whole.
const MOST_WHOLE_PIXELS: usize = 16_000_000;

/// Quality of a kept photo.
const QUALITY: u8 = 82;

/// What a kept photo is.
pub(crate) const MEDIA_TYPE: &str = "image/jpeg";

/// Pixels in rows from the top, each red, green, blue.
struct Picture {
    width: usize,
    height: usize,
    rgb: Vec<u8>,
}

/// Brightness in rows from the top.
pub(crate) struct Grey {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) values: Vec<u8>,
}

impl Grey {
    /// The picture with its longer side at most `side`: every pixel is the mean of those that fall on it.
    pub(crate) fn shrunk(&self, side: usize) -> Self {
        let longer = self.width.max(self.height);
        if longer <= side {
            return Self { width: self.width, height: self.height, values: self.values.clone() };
        }
        let to = |length: usize| (length * side / longer).max(1);
        let (width, height) = (to(self.width), to(self.height));
        let span = |at: usize, of: usize, all: usize| {
            let from = at * all / of;
            from..((at + 1) * all / of).max(from + 1)
        };
        let mut values = Vec::with_capacity(width * height);
        for y in 0..height {
            let rows = span(y, height, self.height);
            for x in 0..width {
                let columns = span(x, width, self.width);
                let of_row = |row: usize| &self.values[row * self.width..][columns.clone()];
                let sum: u32 = rows.clone().flat_map(of_row).map(|value| u32::from(*value)).sum();
                let count = u32::try_from(rows.len() * columns.len()).unwrap_or(1);
                values.push(u8::try_from(sum / count).unwrap_or(u8::MAX));
            }
        }
        Self { width, height, values }
    }
}

/// A photo in grey with its longer side at most `side`, however the camera was held.
///
/// # Errors
/// As [`made_anew`].
pub(crate) fn grey(bytes: &[u8], side: usize) -> Result<Grey, Refusal> {
    let picture = picture(bytes)?;
    let mean = |rgb: &[u8]| {
        // Green carries most of what an eye sees as bright (weights of Rec. 601, in 256ths).
        let sum = 77 * u32::from(rgb[0]) + 150 * u32::from(rgb[1]) + 29 * u32::from(rgb[2]);
        u8::try_from(sum >> 8).unwrap_or(u8::MAX)
    };
    let values = picture.rgb.chunks_exact(3).map(mean).collect();
    Ok(Grey { width: picture.width, height: picture.height, values }.shrunk(side))
}

/// The pixels of a photo, at most [`LONGEST`] a side.
fn picture(bytes: &[u8]) -> Result<Picture, Refusal> {
    if bytes.starts_with(&[0xff, 0xd8]) {
        Ok(jpeg(bytes)?.shrunk())
    } else if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        Ok(png(bytes)?.shrunk())
    } else {
        Err(refused("it is no photo that can be read"))
    }
}

/// A photo as JPEG of at most [`LONGEST`] pixels a side, the right way up.
///
/// # Errors
/// What is no JPEG and no PNG, is damaged, or is too large.
pub(crate) fn made_anew(bytes: &[u8]) -> Result<Vec<u8>, Refusal> {
    // A PNG does not say how the camera was held.
    let turn = if bytes.starts_with(&[0xff, 0xd8]) { orientation(bytes) } else { 1 };
    let picture = picture(bytes)?.turned(turn);
    let side = |pixels: usize| u32::try_from(pixels).map_err(|_| refused("it is too large"));
    let (width, height) = (side(picture.width)?, side(picture.height)?);
    let mut out = Vec::new();
    JpegEncoder::new_with_quality(&mut out, QUALITY)
        .encode(&picture.rgb, width, height, ExtendedColorType::Rgb8)
        .map_err(|error| {
            Refusal::new(500, format!("the photo cannot be written: {error}"), "another photo")
        })?;
    Ok(out)
}

fn refused(text: &str) -> Refusal {
    Refusal::new(
        415,
        format!("the photo: {text}"),
        "a JPEG of at most 50 million pixels (in passes: 16), a PNG of at most 16 million",
    )
}

fn jpeg(bytes: &[u8]) -> Result<Picture, Refusal> {
    let damaged = |error: jpeg_decoder::Error| refused(&format!("it is damaged ({error})"));
    let mut decoder = Decoder::new(bytes);
    decoder.set_max_decoding_buffer_size(MOST_PIXELS * 4);
    decoder.read_info().map_err(damaged)?;
    let info = decoder.info().ok_or_else(|| refused("it says nothing of itself"))?;
    // One that comes in passes is held whole, at six bytes a pixel, until the last of them.
    let most =
        if info.coding_process == CodingProcess::DctSequential { MOST_PIXELS } else { MOST_WHOLE_PIXELS };
    check_size(usize::from(info.width), usize::from(info.height), most)?;
    // Half, a quarter, an eighth cost less than the whole, and are closer to what is kept.
    let wanted = u16::try_from(LONGEST).unwrap_or(u16::MAX);
    let (width, height) = decoder.scale(wanted, wanted).map_err(damaged)?;
    let pixels = decoder.decode().map_err(damaged)?;
    let rgb = match info.pixel_format {
        PixelFormat::RGB24 => pixels,
        PixelFormat::L8 => pixels.iter().flat_map(|&grey| [grey; 3]).collect(),
        PixelFormat::L16 => pixels.chunks_exact(2).flat_map(|grey| [grey[1]; 3]).collect(),
        // Inks as the decoder gives them: turned over.
        PixelFormat::CMYK32 => pixels.chunks_exact(4).flat_map(from_inks).collect(),
    };
    whole(usize::from(width), usize::from(height), rgb)
}

fn from_inks(inks: &[u8]) -> [u8; 3] {
    let black = u16::from(255 - inks[3]);
    let mixed = |ink: u8| u8::try_from(u16::from(255 - ink) * black / 255).unwrap_or(255);
    [mixed(inks[0]), mixed(inks[1]), mixed(inks[2])]
}

fn png(bytes: &[u8]) -> Result<Picture, Refusal> {
    let damaged = |error: png::DecodingError| refused(&format!("it is damaged ({error})"));
    let limits = png::Limits { bytes: MOST_WHOLE_PIXELS * 4 };
    let mut decoder = png::Decoder::new_with_limits(std::io::Cursor::new(bytes), limits);
    decoder.set_transformations(png::Transformations::normalize_to_color8());
    // By its head alone, before room is made for anything.
    let head = decoder.read_header_info().map_err(damaged)?;
    let (width, height) = (head.width as usize, head.height as usize);
    check_size(width, height, MOST_WHOLE_PIXELS)?;
    let mut reader = decoder.read_info().map_err(damaged)?;
    let size = reader.output_buffer_size().ok_or_else(|| refused("it is too large"))?;
    let mut pixels = vec![0; size];
    let frame = reader.next_frame(&mut pixels).map_err(damaged)?;
    pixels.truncate(frame.buffer_size());
    // What shines through becomes paper.
    let on_paper = |value: u8, opaque: u8| {
        let (value, opaque) = (u16::from(value), u16::from(opaque));
        u8::try_from((value * opaque + 255 * (255 - opaque)) / 255).unwrap_or(255)
    };
    let rgb = match frame.color_type {
        png::ColorType::Rgb => pixels,
        png::ColorType::Rgba => {
            // In its own place: a second copy would be as large again.
            let count = pixels.len() / 4;
            for at in 0..count {
                let opaque = pixels[at * 4 + 3];
                for part in 0..3 {
                    pixels[at * 3 + part] = on_paper(pixels[at * 4 + part], opaque);
                }
            }
            pixels.truncate(count * 3);
            pixels
        }
        png::ColorType::Grayscale => pixels.iter().flat_map(|&grey| [grey; 3]).collect(),
        png::ColorType::GrayscaleAlpha => {
            pixels.chunks_exact(2).flat_map(|one| [on_paper(one[0], one[1]); 3]).collect()
        }
        png::ColorType::Indexed => return Err(refused("its colours cannot be read")),
    };
    whole(width, height, rgb)
}

fn check_size(width: usize, height: usize, most: usize) -> Result<(), Refusal> {
    if width == 0 || height == 0 || width.saturating_mul(height) > most {
        let most = most / 1_000_000;
        let text =
            format!("it has {width} by {height} pixels, and one of this kind is read up to {most} million");
        return Err(refused(&text));
    }
    Ok(())
}

fn whole(width: usize, height: usize, rgb: Vec<u8>) -> Result<Picture, Refusal> {
    if rgb.len() == width * height * 3 {
        Ok(Picture { width, height, rgb })
    } else {
        Err(refused("it is cut off"))
    }
}

impl Picture {
    /// The picture as the camera was held: 1 to 8 as EXIF counts them.
    fn turned(self, orientation: u8) -> Self {
        let (width, height) = (self.width, self.height);
        let (to_width, to_height) = if orientation >= 5 { (height, width) } else { (width, height) };
        if !(2..=8).contains(&orientation) {
            return self;
        }
        let mut rgb = Vec::with_capacity(self.rgb.len());
        for y in 0..to_height {
            for x in 0..to_width {
                let (from_x, from_y) = match orientation {
                    2 => (width - 1 - x, y),
                    3 => (width - 1 - x, height - 1 - y),
                    4 => (x, height - 1 - y),
                    5 => (y, x),
                    6 => (y, height - 1 - x),
                    7 => (width - 1 - y, height - 1 - x),
                    _ => (width - 1 - y, x),
                };
                let at = (from_y * width + from_x) * 3;
                rgb.extend_from_slice(&self.rgb[at..at + 3]);
            }
        }
        Self { width: to_width, height: to_height, rgb }
    }

    /// The picture with its longer side at most [`LONGEST`]: every pixel is the mean of those that fall on it.
    fn shrunk(self) -> Self {
        let longer = self.width.max(self.height);
        if longer <= LONGEST {
            return self;
        }
        let to = |side: usize| (side * LONGEST / longer).max(1);
        let (width, height) = (to(self.width), to(self.height));
        let mut rgb = Vec::with_capacity(width * height * 3);
        for y in 0..height {
            let rows =
                y * self.height / height..((y + 1) * self.height / height).max(y * self.height / height + 1);
            for x in 0..width {
                let from = x * self.width / width;
                let columns = from..((x + 1) * self.width / width).max(from + 1);
                let mut sums = [0_u32; 3];
                for row in rows.clone() {
                    let at = (row * self.width + columns.start) * 3;
                    for pixel in self.rgb[at..at + columns.len() * 3].chunks_exact(3) {
                        for (sum, value) in sums.iter_mut().zip(pixel) {
                            *sum += u32::from(*value);
                        }
                    }
                }
                let count = u32::try_from(rows.len() * columns.len()).unwrap_or(1);
                rgb.extend(sums.map(|sum| u8::try_from(sum / count).unwrap_or(255)));
            }
        }
        Self { width, height, rgb }
    }
}

/// How the camera was held (EXIF 2.3, tag 0x0112): 1 where the photo does not say.
fn orientation(bytes: &[u8]) -> u8 {
    exif(bytes).and_then(orientation_in).unwrap_or(1)
}

/// The EXIF block of a JPEG: the first APP1 segment that begins with its name.
fn exif(bytes: &[u8]) -> Option<&[u8]> {
    let mut rest = bytes.get(2..)?;
    loop {
        let (marker, size) = (rest.get(..2)?, rest.get(2..4)?);
        let size = usize::from(u16::from_be_bytes([size[0], size[1]]));
        if marker[0] != 0xff || marker[1] == 0xda || size < 2 {
            return None;
        }
        let segment = rest.get(4..2 + size)?;
        if marker[1] == 0xe1
            && let Some(block) = segment.strip_prefix(b"Exif\0\0")
        {
            return Some(block);
        }
        rest = rest.get(2 + size..)?;
    }
}

fn orientation_in(block: &[u8]) -> Option<u8> {
    let little = block.starts_with(b"II");
    let two = |at: usize| -> Option<u16> {
        let bytes: [u8; 2] = block.get(at..at.checked_add(2)?)?.try_into().ok()?;
        Some(if little { u16::from_le_bytes(bytes) } else { u16::from_be_bytes(bytes) })
    };
    let four = |at: usize| -> Option<usize> {
        let bytes: [u8; 4] = block.get(at..at.checked_add(4)?)?.try_into().ok()?;
        usize::try_from(if little { u32::from_le_bytes(bytes) } else { u32::from_be_bytes(bytes) }).ok()
    };
    let directory = four(4)?;
    let count = usize::from(two(directory)?);
    let entry = (0..count).map(|at| directory + 2 + at * 12).find(|&at| two(at) == Some(0x0112))?;
    u8::try_from(two(entry + 8)?).ok()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// A picture with a red corner at the top left, green at the top right, blue at the bottom left.
    fn corners(width: usize, height: usize) -> Picture {
        let colour = |x: usize, y: usize| match (x < width / 2, y < height / 2) {
            (true, true) => [250, 10, 10],
            (false, true) => [10, 250, 10],
            (true, false) => [10, 10, 250],
            (false, false) => [250, 250, 250],
        };
        let rgb = (0..height).flat_map(|y| (0..width).flat_map(move |x| colour(x, y))).collect();
        Picture { width, height, rgb }
    }

    fn as_jpeg(picture: &Picture, exif: Option<Vec<u8>>) -> Vec<u8> {
        let mut out = Vec::new();
        let (width, height) = (picture.width as u32, picture.height as u32);
        JpegEncoder::new_with_quality(&mut out, 95)
            .encode(&picture.rgb, width, height, ExtendedColorType::Rgb8)
            .unwrap();
        if let Some(exif) = exif {
            let size = u16::try_from(exif.len() + 2).unwrap().to_be_bytes();
            out.splice(2..2, [&[0xff, 0xe1], &size[..], &exif].concat());
        }
        out
    }

    fn exif_of(orientation: u8) -> Vec<u8> {
        let mut block = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
        block.extend([orientation, 0, 0, 0, 0, 0, 0]);
        block.extend(b"SECRET PLACE");
        block
    }

    fn names(picture: &Picture) -> String {
        let at = |x: usize, y: usize| {
            let from = (y * picture.width + x) * 3;
            match picture.rgb[from..from + 3].iter().map(|&value| value > 128).collect::<Vec<_>>()[..] {
                [true, false, false] => 'r',
                [false, true, false] => 'g',
                [false, false, true] => 'b',
                _ => 'w',
            }
        };
        let (right, bottom) = (picture.width - 3, picture.height - 3);
        [at(2, 2), at(right, 2), at(2, bottom), at(right, bottom)].iter().collect()
    }

    #[test]
    fn a_photo_comes_out_the_right_way_up_and_without_its_secrets() {
        // EXIF 2.3, orientation: where row 0 and column 0 of the file are on the picture as it is seen.
        let seen = ["rgbw", "grwb", "wbgr", "bwrg", "rbgw", "brwg", "wgbr", "gwrb"];
        for (at, expected) in seen.iter().enumerate() {
            let orientation = u8::try_from(at + 1).unwrap();
            let sent = as_jpeg(&corners(48, 32), Some(exif_of(orientation)));
            assert!(sent.windows(6).any(|part| part == b"SECRET"));
            let kept = made_anew(&sent).unwrap();
            assert!(!kept.windows(6).any(|part| part == b"SECRET"));
            let picture = jpeg(&kept).unwrap();
            let size = if orientation < 5 { (48, 32) } else { (32, 48) };
            assert_eq!((picture.width, picture.height), size);
            assert_eq!(names(&picture), *expected, "orientation {orientation}");
        }
    }

    #[test]
    fn a_large_photo_gets_smaller_and_keeps_its_shape() {
        let kept = made_anew(&as_jpeg(&corners(4000, 1000), None)).unwrap();
        let picture = jpeg(&kept).unwrap();
        assert_eq!((picture.width, picture.height), (2000, 500));
        assert_eq!(names(&picture), "rgbw");
    }

    #[test]
    fn a_png_becomes_a_jpeg_on_paper() {
        let picture = corners(40, 40);
        let mut sent = Vec::new();
        let mut encoder = png::Encoder::new(&mut sent, 40, 40);
        encoder.set_color(png::ColorType::Rgba);
        let clear: Vec<u8> = picture
            .rgb
            .chunks_exact(3)
            .flat_map(|one| [one[0], one[1], one[2], if one[2] > 128 { 0 } else { 255 }])
            .collect();
        encoder.write_header().unwrap().write_image_data(&clear).unwrap();
        assert_eq!(names(&jpeg(&made_anew(&sent).unwrap()).unwrap()), "rgww");
    }

    #[test]
    fn what_is_no_photo_is_refused() {
        let huge =
            b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR\x00\x01\x86\xa0\x00\x01\x86\xa0\x08\x02\0\0\0\x27\x30\x9c\x9f";
        let cut = as_jpeg(&corners(64, 64), None);
        let words = made_anew(huge).unwrap_err().text;
        assert!(words.contains("up to 16 million"), "{words}");
        for bytes in
            [&b""[..], b"GIF89a", b"<svg/>", b"\xff\xd8", b"\x89PNG\r\n\x1a\n", huge, &cut[..cut.len() / 4]]
        {
            assert_eq!(made_anew(bytes).unwrap_err().status, 415);
        }
    }

    proptest! {
        #[test]
        fn damage_never_panics(at in 0_usize..900, with in any::<u8>(), cut in 0_usize..900) {
            let mut bytes = as_jpeg(&corners(32, 32), Some(exif_of(6)));
            let last = bytes.len() - 1;
            bytes[at.min(last)] = with;
            bytes.truncate(bytes.len() - cut.min(last) / 4);
            let _ = made_anew(&bytes);
        }
    }
}
