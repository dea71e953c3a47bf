//! `completions` and `man`: what shells and `man` want to know of the command line.

use super::output::{Console, Outcome};

/// Arguments of `completions`.
#[derive(clap::Args)]
pub struct Arguments {
    /// The shell
    shell: clap_complete::Shell,
}

/// Runs `completions`.
pub fn run(arguments: &Arguments, mut command: clap::Command, console: &mut Console<'_>) -> Outcome {
    let name = command.get_name().to_owned();
    let mut script = Vec::new();
    clap_complete::generate(arguments.shell, &mut command, name, &mut script);
    console.print(&String::from_utf8_lossy(&script));
    Outcome::Good
}

/// Runs `man`: one page with every verb and its arguments.
pub fn man(mut command: clap::Command, console: &mut Console<'_>) -> Outcome {
    command.build();
    let mut page = Vec::new();
    let mut rendered = clap_mangen::Man::new(command.clone()).render(&mut page);
    for verb in command.get_subcommands().filter(|verb| verb.get_name() != "help") {
        let verb = clap_mangen::Man::new(verb.clone());
        rendered = rendered
            .and_then(|()| verb.render_name_section(&mut page))
            .and_then(|()| verb.render_synopsis_section(&mut page))
            .and_then(|()| verb.render_options_section(&mut page));
    }
    match rendered {
        Ok(()) => {
            console.print(&String::from_utf8_lossy(&page));
            Outcome::Good
        }
        Err(error) => {
            console.error(&format!("no manual page: {}", error.kind()));
            Outcome::Unusable
        }
    }
}
