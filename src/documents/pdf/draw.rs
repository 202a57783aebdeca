//! From marks on pages to the bytes of a PDF.

use super::{
    FOOTER, MARGIN, Mark, Pages, PdfError,
    fonts::{Weight, runs, svg_fonts, width},
    tags::{self, Leaf},
};
use krilla::{
    Document, SerializeSettings,
    color::rgb,
    configure::{Accessibility, Configuration, ConfigurationBuilder},
    error::KrillaError,
    geom::{PathBuilder, Point, Rect, Size, Transform},
    metadata::Metadata,
    num::NormalizedF32,
    page::PageSettings,
    paint::{Fill, Stroke, StrokeDash},
    surface::Surface,
    tagging::{Artifact, ArtifactType, ContentTag, Identifier, SpanTag},
    text::TextDirection,
};
use krilla_svg::{SurfaceExt as _, SvgSettings};

/// The embedded fonts alone; nothing outside of a picture is ever loaded.
pub(crate) fn svg_options<'a>() -> usvg::Options<'a> {
    let mut options = usvg::Options {
        font_family: "DejaVu Sans".to_owned(),
        fontdb: svg_fonts(),
        ..usvg::Options::default()
    };
    options.image_href_resolver.resolve_string = Box::new(|_, _| None);
    options
}

/// Reads an SVG of our own; what comes from outside is read by [`super::logo`].
pub(crate) fn read_svg(svg: &str) -> Result<usvg::Tree, PdfError> {
    let read = usvg::Tree::from_str(svg, &svg_options());
    read.map_err(|error| PdfError::NoSvg(error.to_string()))
}

/// Writes the document: tagged, and by PDF/UA-1 as far as that can be checked by a program.
///
/// What no font has, as a letter of a logo, keeps a document from saying so, but not from being printed.
pub fn write(pages: &Pages) -> Result<Vec<u8>, PdfError> {
    let accessible =
        ConfigurationBuilder::new().with_accessibility_validator(Accessibility::UA1).finish();
    let written = match accessible.map(|accessible| written(pages, accessible)) {
        Ok(Ok(bytes)) => Ok(bytes),
        Ok(Err(KrillaError::Validation(_))) | Err(_) => written(pages, Configuration::default()),
        Ok(Err(other)) => Err(other),
    };
    written.map_err(|error| PdfError::Writing(format!("{error:?}")))
}

fn written(pages: &Pages, configuration: Configuration) -> Result<Vec<u8>, KrillaError> {
    let (width, height) = pages.format.size();
    let settings = SerializeSettings { configuration, ..SerializeSettings::default() };
    let mut document = Document::new_with(settings);
    let metadata = Metadata::new().title(pages.title.clone()).creator("denwright".to_owned());
    document.set_metadata(metadata.language(pages.language.tag().to_owned()));
    let mut leaves: Vec<Vec<Identifier>> = vec![Vec::new(); pages.leaves];
    for (index, marks) in pages.pages.iter().enumerate() {
        let settings = PageSettings::from_wh(width, height).unwrap_or_default();
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        for run in marks.chunk_by(|(a, _), (b, _)| a == b) {
            let leaf = run.first().and_then(|(leaf, _)| *leaf);
            let drawn = surface.start_tagged(tag_of(leaf, run));
            for (_, mark) in run {
                draw(&mut surface, mark);
            }
            surface.end_tagged();
            if let Some(of_leaf) = leaf.and_then(|leaf| leaves.get_mut(leaf)) {
                of_leaf.push(drawn);
            }
        }
        surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Footer)));
        draw_footer(&mut surface, pages, index);
        surface.end_tagged();
        surface.finish();
        page.finish();
    }
    document.set_outline(tags::outline(&pages.blocks));
    let tags = tags::tree(&pages.blocks, leaves);
    document.set_tag_tree(tags.with_lang(Some(pages.language.tag().to_owned())));
    document.finish()
}

fn tag_of(leaf: Option<Leaf>, run: &[(Option<Leaf>, Mark)]) -> ContentTag<'static> {
    match leaf {
        None => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)),
        Some(_) if run.iter().all(|(_, mark)| matches!(mark, Mark::Text { .. })) => {
            ContentTag::Span(SpanTag::empty())
        }
        Some(_) => ContentTag::Other,
    }
}

fn grey(level: u8) -> Fill {
    let paint = rgb::Color::new(level, level, level).into();
    Fill { paint, opacity: NormalizedF32::ONE, rule: krilla::paint::FillRule::default() }
}

fn draw(surface: &mut Surface<'_>, mark: &Mark) {
    match mark {
        Mark::Text { x, baseline, size, weight, grey: level, text } => {
            surface.set_stroke(None);
            surface.set_fill(Some(grey(*level)));
            draw_text(surface, *x, *baseline, *size, *weight, text);
        }
        Mark::Line { x, y, to_x, to_y, width } => {
            let mut path = PathBuilder::new();
            path.move_to(*x, *y);
            path.line_to(*to_x, *to_y);
            let paint = rgb::Color::new(120, 120, 120).into();
            surface.set_fill(None);
            surface.set_stroke(Some(Stroke { paint, width: *width, ..Stroke::default() }));
            if let Some(path) = path.finish() {
                surface.draw_path(&path);
            }
        }
        Mark::Shade { x, y, width, height } => {
            let mut path = PathBuilder::new();
            if let Some(rect) = Rect::from_xywh(*x, *y, *width, *height) {
                path.push_rect(rect);
            }
            surface.set_stroke(None);
            surface.set_fill(Some(grey(235)));
            if let Some(path) = path.finish() {
                surface.draw_path(&path);
            }
        }
        Mark::Frame { x, y, width, height } => {
            let mut path = PathBuilder::new();
            if let Some(rect) = Rect::from_xywh(*x, *y, *width, *height) {
                path.push_rect(rect);
            }
            let dash = Some(StrokeDash { array: vec![3.0, 3.0], offset: 0.0 });
            let paint = rgb::Color::new(150, 150, 150).into();
            surface.set_fill(None);
            surface.set_stroke(Some(Stroke { paint, width: 0.8, dash, ..Stroke::default() }));
            if let Some(path) = path.finish() {
                surface.draw_path(&path);
            }
        }
        Mark::Picture { x, y, width, height, tree } => {
            surface.push_transform(&Transform::from_translate(*x, *y));
            if let Some(size) = Size::from_wh(*width, *height) {
                let settings = SvgSettings { embed_text: true, ..SvgSettings::default() };
                // None means that there is nothing to draw.
                let _ = surface.draw_svg(tree, size, settings);
            }
            surface.pop();
        }
        Mark::Photo { x, y, width, height, image } => {
            surface.push_transform(&Transform::from_translate(*x, *y));
            if let Some(size) = Size::from_wh(*width, *height) {
                surface.draw_image(image.clone(), size);
            }
            surface.pop();
        }
    }
}

fn draw_text(
    surface: &mut Surface<'_>,
    x: f32,
    baseline: f32,
    size: f32,
    weight: Weight,
    text: &str,
) {
    let mut x = x;
    for run in runs(text, weight) {
        let start = Point::from_xy(x, baseline);
        x += run.width * size;
        surface.draw_text(start, run.font, size, &run.text, false, TextDirection::Auto);
    }
}

fn draw_footer(surface: &mut Surface<'_>, pages: &Pages, index: usize) {
    let (paper_width, paper_height) = pages.format.size();
    let baseline = paper_height - FOOTER;
    let size = super::SMALL_SIZE;
    surface.set_stroke(None);
    surface.set_fill(Some(grey(90)));
    let number = format!("{} / {}", index + 1, pages.pages.len());
    let number_width = width(&number, Weight::Regular) * size;
    let right = paper_width - MARGIN - number_width;
    let room = right - MARGIN - 12.0;
    let footer = super::text::lines(&pages.footer, Weight::Regular, size, room);
    if let Some(line) = footer.first() {
        draw_text(surface, MARGIN, baseline, size, Weight::Regular, line);
    }
    draw_text(surface, right, baseline, size, Weight::Regular, &number);
}
