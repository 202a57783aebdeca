//! Photographs on a page: one by itself, and several in lines with words below each.

use super::{LINE_HEIGHT, MARGIN, Mark, Pages, SMALL, SMALL_SIZE, tags::Block};
use catalogue::Text;
use krilla::image::Image;

/// Bytes of the largest photograph that is printed: what the service makes for a screen takes a fraction of it.
const MOST_BYTES: usize = 2 << 20;
/// Pixels of the longest edge.
const LONGEST_EDGE: u32 = 4_096;
/// Between two photographs of a line.
const BETWEEN: f32 = 10.0;
/// Most lines of words below a photograph.
const MOST_LINES: usize = 2;

/// A photograph to print.
pub struct Photo {
    image: Image,
    /// What it shows, for a reader that speaks.
    alt: Text,
    /// What stands below it.
    below: Text,
}

impl Photo {
    /// A JPEG; `None` for what is none, or larger than any that the service makes.
    ///
    /// Its head alone is read: that the rest is whole, whoever kept it knows.
    pub fn of(jpeg: Vec<u8>, alt: Text, below: Text) -> Option<Self> {
        if jpeg.len() > MOST_BYTES {
            return None;
        }
        let image = Image::from_jpeg(jpeg.into(), true).ok()?;
        let (width, height) = image.size();
        let is_sound = width.min(height) > 0 && width.max(height) <= LONGEST_EDGE;
        is_sound.then_some(Self { image, alt, below })
    }

    /// Width and height in a box, in its own proportions.
    fn within(&self, (most_width, most_height): (f32, f32)) -> (f32, f32) {
        let (width, height) = self.image.size();
        #[expect(clippy::cast_precision_loss, reason = "an edge has a few thousand pixels")]
        let (width, height) = (width as f32, height as f32);
        let scale = (most_width / width).min(most_height / height);
        (width * scale, height * scale)
    }
}

impl Pages {
    /// A photograph in the middle of the page, at most this high.
    pub fn photo(&mut self, photo: &Photo, most_height: f32) {
        let (width, height) = photo.within((self.room(), most_height));
        self.need(height);
        let x = MARGIN + (self.room() - width) / 2.0;
        self.drawn(photo, x, self.y, (width, height));
        self.space(height + 12.0);
    }

    /// Photographs beside one another in lines of so many, each with its words below.
    pub fn photos(&mut self, photos: &[Photo], in_line: usize) {
        #[expect(clippy::cast_precision_loss, reason = "a line has a few")]
        let width = (self.room() + BETWEEN) / in_line.max(1) as f32 - BETWEEN;
        #[expect(clippy::cast_precision_loss, reason = "a few lines")]
        let words = MOST_LINES as f32 * SMALL_SIZE * LINE_HEIGHT + 2.0;
        for line in photos.chunks(in_line.max(1)) {
            let sizes = line.iter().map(|photo| photo.within((width, width)));
            let sizes: Vec<(f32, f32)> = sizes.collect();
            let height = sizes.iter().map(|(_, height)| *height).fold(0.0, f32::max);
            self.need(height + words);
            let (y, mut x) = (self.y, MARGIN);
            for (photo, size) in line.iter().zip(sizes) {
                // They stand on one line.
                self.drawn(photo, x, y + height - size.1, size);
                self.y = y + height + 2.0;
                let says = photo.below.to_string();
                let leaf =
                    self.leaf(|pages| pages.first_lines(&says, SMALL, (x, width), MOST_LINES));
                self.blocks.push(Block::Paragraph(leaf));
                x += width + BETWEEN;
            }
            self.y = y + height + words + 6.0;
        }
    }

    fn drawn(&mut self, photo: &Photo, x: f32, y: f32, (width, height): (f32, f32)) {
        let mark = Mark::Photo { x, y, width, height, image: photo.image.clone() };
        let leaf = self.leaf(|pages| pages.mark(mark));
        self.blocks.push(Block::Figure { alt: photo.alt.to_string(), leaf });
    }
}
