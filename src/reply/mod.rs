//! A draft of the text message that a coach sends back: the lines to record, the ballpark with its range, and the one
//! question whose answer would narrow it most. It judges nobody.
//!
//! The message is read as clients write it. Words that say nothing of the food ("I'm pregnant, …") choose a caution and are
//! taken out before the rest is read, and so is a name behind a greeting; whatever nothing knows is asked about.

mod courtesy;
mod question;
mod template;

pub use courtesy::{Heard, hear};
pub use question::question;
pub use template::{TemplateError, VARIABLES};

use crate::entries::{LineOptions, lines};
use crate::estimate::Estimate;
use crate::library::Library;
use crate::plate::PlateOptions;
use crate::read::{self, ReadError};
use crate::report::EnergyUnit;

/// How much the reply says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Tone {
    /// Lines, ballpark, question.
    #[default]
    Brief,
    /// With macros and what was assumed.
    Full,
}

/// How the reply is wanted.
#[derive(Debug, Clone, Default)]
pub struct ReplyOptions {
    /// How much it says, where no template is given.
    pub tone: Tone,
    /// Name for the greeting.
    pub name: Option<String>,
    /// How the lines are written.
    pub lines: LineOptions,
    /// Unit of energy.
    pub energy: EnergyUnit,
    /// What the words alone do not say of the plate.
    pub plate: PlateOptions,
    /// A template of the user's own, with its name for errors.
    pub template: Option<(String, String)>,
}

/// A draft that can be sent as it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Reply {
    /// The text.
    pub text: String,
    /// The estimate it stands on.
    pub estimate: Estimate,
    /// The cautions that the message called for.
    pub cautions: Vec<String>,
}

/// Why there is no draft.
#[derive(Debug, thiserror::Error)]
pub enum ReplyError {
    /// The message cannot be read.
    #[error("{0}")]
    Read(#[from] ReadError),
    /// The template cannot be used.
    #[error("{0}")]
    Template(#[from] TemplateError),
}

/// Drafts a reply to a message.
///
/// ```
/// use platespan::Library;
/// use platespan::reply::{ReplyOptions, reply};
///
/// let library = Library::embedded();
/// let message = "Hi! Had the fish pie and a glass of cider, left about half the pie";
/// let reply = reply(&library, message, &ReplyOptions::default())?;
/// assert!(reply.text.contains("kcal"));
/// # Ok::<(), platespan::reply::ReplyError>(())
/// ```
///
/// # Errors
/// [`ReplyError::Read`] where no food is found in the message, [`ReplyError::Template`] where the user's template is at
/// fault.
pub fn reply(
    library: &Library,
    message: &str,
    options: &ReplyOptions,
) -> Result<Reply, ReplyError> {
    let heard = hear(library, message);
    let estimate = crate::estimate_text(library, &heard.text, &options.plate)
        .map_err(|error| in_their_words(error, message))?;
    let lines = lines(library, &estimate, options.lines);
    let facts = template::Facts::new(library, message, &estimate, &lines, &heard, options);
    let text = template::render(options, &facts)?;
    Ok(Reply {
        text,
        estimate,
        cautions: heard.cautions,
    })
}

/// The error with the message as it came, in place of what was left of it.
fn in_their_words(error: ReadError, message: &str) -> ReadError {
    match error {
        ReadError::NoFood { nearest, .. } => ReadError::NoFood {
            said: read::opening(message),
            nearest,
        },
        ReadError::Empty if message.chars().any(char::is_alphanumeric) => ReadError::NoFood {
            said: read::opening(message),
            nearest: Vec::new(),
        },
        other => other,
    }
}
