//! Everything drawn or written for a reader: one drawing model, lowered once to a page of inks in
//! points, and painters that put the page down as SVG, PNG or PDF. The window paints the same page.
//!
//! # Conventions
//! Lengths on paper are points (pt, 1/72 inch), x to the right and **y down**, origin in the top left
//! corner of the drawing. World lengths are whatever the panel's `pt_from_world` maps: millimetres, or
//! travel (mm) against a plotted value. A *turn* is an angle as the reader sees it on paper (rad),
//! positive counter-clockwise, so text that reads upwards is turned by +π/2.
//!
//! # What is where
//! * the model: [`Drawing`], [`Panel`], [`Item`], [`Shape`], [`Polyline`], [`Label`], [`Mark`],
//!   [`Dimension`], [`CentreCross`], [`Path`], [`Rect`], [`Part`]
//! * the look: [`Tone`], [`Theme`], [`Colour`], [`Pen`], [`Dash`], [`Fill`], [`Hatch`], [`Face`], [`Weight`]
//! * lowering: [`Drawing::page`], [`Page`], [`Ink`], [`InkKind`], [`TextInk`]
//! * picking: [`Page::pick`], [`Drawing::panel_at`], [`Panel::world_from_pt`]
//! * for painters: [`Path::flatten`], [`Path::dashed`], [`triangulate`], [`fill_mesh`], [`text_width`]
//! * painters: [`svg`], [`png()`], [`pdf`]
//! * plots over travel: [`StripData`], [`strip_panel`], [`nice_ticks`]
//! * plots of anything against anything: [`PlotData`]
//! * keeping labels apart: [`Placer`]
//! * meshes and tables: [`body_meshes`], [`stl`], [`curves_csv`]
//! * ways of looking at a fixture: [`views`]
//!
//! Nothing here touches files, and nothing panics, whatever numbers it is given: an item with a
//! coordinate that is not finite is left out and counted in [`Page::skipped`].

mod curves;
mod drawing;
mod error;
mod look;
mod page;
mod paint;
mod plot;
mod solids;
mod strip;
mod units;
pub mod views;

pub use curves::curves_csv;
pub use glam::{DAffine2, DVec2};

pub use drawing::{
    CentreCross, Contour, Dimension, DimensionKind, Drawing, End, Glyph, Item, ItemKind, Label, Mark, Panel,
    Part, Path, Place, Polyline, Rect, Run, Shape, Units,
};
pub use error::SheetError;
pub use look::{
    ASCENT, CAP_HEIGHT, Colour, DESCENT, Dash, Face, Fill, FontFile, Hatch, Pen, Theme, Tone, Weight,
    all_fonts, font_file, missing_glyphs, number, text_width,
};
pub use page::{Hit, Ink, InkKind, Mesh, Page, Placer, TextInk, fill_mesh, triangulate};
pub use paint::{PngOptions, SvgOptions, pdf, png, svg};
pub use plot::{PlotAxis, PlotBar, PlotBars, PlotCurve, PlotData, PlotDots, PlotKey, PlotRule, PlotStretch};
pub use solids::{body_meshes, stl};
pub use strip::{
    Interval, Limit, Marker, Orientation, STRIP_MARGIN, Series, StripData, StripLayout, StripMargin, Ticks,
    nice_ticks, strip_panel,
};
pub use units::{LengthUnit, LoadUnit, ReaderUnits, Unit};
