//! egui's styles, light and dark, from the tokens.

use egui::style::{NumberFormatter, WidgetVisuals, Widgets};
use egui::{CornerRadius, Margin, Shadow, Stroke, Style, TextStyle, Visuals, vec2};
use glidewright_sheet::{Theme, Tone};

use super::surface::colour;
use super::{FontRole, Paper, Surface};

/// Gives the window its styles and its choice of light or dark.
pub fn apply(ctx: &egui::Context, paper: Paper) {
    ctx.set_style_of(egui::Theme::Light, style(&Theme::light()));
    ctx.set_style_of(egui::Theme::Dark, style(&Theme::dark()));
    ctx.set_theme(paper.preference());
}

fn style(theme: &Theme) -> Style {
    let mut style = Style { visuals: visuals(theme), ..Style::default() };
    style.text_styles = [
        (TextStyle::Small, FontRole::Small.id()),
        (TextStyle::Body, FontRole::Body.id()),
        (TextStyle::Button, FontRole::Body.id()),
        (TextStyle::Monospace, FontRole::Body.id()),
        (TextStyle::Heading, FontRole::Title.id()),
    ]
    .into();
    style.number_formatter = NumberFormatter::new(|value, decimals| {
        let fixed = glidewright_sheet::number(value, *decimals.end());
        let least = *decimals.start();
        match fixed.split_once('.') {
            Some((whole, digits)) => {
                let keep = digits.trim_end_matches('0').len().max(least);
                if keep == 0 {
                    whole.to_owned()
                } else {
                    format!("{whole}.{}", &digits[..keep.min(digits.len())])
                }
            }
            None => fixed,
        }
    });
    let spacing = &mut style.spacing;
    spacing.item_spacing = vec2(8.0, 4.0);
    spacing.button_padding = vec2(8.0, 3.0);
    spacing.interact_size = vec2(32.0, 24.0);
    spacing.indent = 14.0;
    spacing.menu_margin = Margin::same(6);
    spacing.window_margin = Margin::same(14);
    spacing.tooltip_width = 360.0;
    spacing.menu_width = 320.0;
    spacing.scroll = egui::style::ScrollStyle { bar_width: 8.0, ..egui::style::ScrollStyle::floating() };
    style.interaction.selectable_labels = false;
    style.interaction.tooltip_delay = 0.35;
    // A moved panel or list would repaint for this long; the bench is still unless something happens.
    style.animation_time = 0.08;
    style
}

fn visuals(theme: &Theme) -> Visuals {
    let tone = |tone: Tone| colour(theme.colour(tone));
    let surface = |surface: Surface| surface.color32(theme);
    let radius = CornerRadius::same(4);
    let widget = |fill: Surface, edge: Stroke, text: Tone| WidgetVisuals {
        bg_fill: surface(fill),
        weak_bg_fill: surface(fill),
        bg_stroke: edge,
        corner_radius: radius,
        fg_stroke: Stroke::new(1.0, tone(text)),
        expansion: 0.0,
    };
    let edge = Stroke::new(1.0, surface(Surface::Edge));
    let strong_edge = Stroke::new(1.0, surface(Surface::FieldEdge));
    let base = if theme.dark { Visuals::dark() } else { Visuals::light() };
    let shadow = Shadow {
        offset: [0, 3],
        blur: 12,
        spread: 0,
        color: egui::Color32::from_black_alpha(if theme.dark { 110 } else { 38 }),
    };
    Visuals {
        dark_mode: theme.dark,
        widgets: Widgets {
            noninteractive: widget(Surface::Panel, edge, Tone::Ink),
            inactive: widget(Surface::Button, edge, Tone::Ink),
            hovered: widget(Surface::ButtonHovered, strong_edge, Tone::Ink),
            active: widget(Surface::ButtonPressed, Stroke::new(1.5, tone(Tone::Selection)), Tone::Ink),
            open: widget(Surface::ButtonHovered, strong_edge, Tone::Ink),
        },
        weak_text_color: Some(tone(Tone::FaintInk)),
        selection: egui::style::Selection {
            bg_fill: surface(Surface::SelectedFill),
            stroke: Stroke::new(1.5, tone(Tone::Selection)),
        },
        hyperlink_color: tone(Tone::Selection),
        faint_bg_color: surface(Surface::Stripe),
        extreme_bg_color: surface(Surface::Field),
        text_edit_bg_color: Some(surface(Surface::Field)),
        code_bg_color: surface(Surface::Stripe),
        warn_fg_color: tone(Tone::Marginal),
        error_fg_color: tone(Tone::Clash),
        window_corner_radius: CornerRadius::same(8),
        window_shadow: shadow,
        window_fill: surface(Surface::Panel),
        window_stroke: strong_edge,
        menu_corner_radius: CornerRadius::same(6),
        panel_fill: surface(Surface::Panel),
        popup_shadow: shadow,
        text_cursor: egui::style::TextCursorStyle {
            stroke: Stroke::new(1.5, tone(Tone::Selection)),
            // A blinking cursor would keep an idle window painting.
            blink: false,
            ..base.text_cursor.clone()
        },
        indent_has_left_vline: false,
        ..base
    }
}
