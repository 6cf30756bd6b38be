//! What a client can do: path, method, what goes in, what comes out, and who answers.

use crate::app::App;
use axum::routing::MethodRouter;
use schemars::{JsonSchema, Schema, SchemaGenerator};

/// Makes the schema of a type.
pub type Shape = fn(&mut SchemaGenerator) -> Schema;

/// A path with everything that can be done on it.
pub struct Route {
    /// The path, as the router writes it: `/api/v1/cells/{id}`.
    pub path: &'static str,
    /// What can be done.
    pub operations: Vec<Operation>,
    /// Who answers.
    pub handler: MethodRouter<App>,
}

/// One thing that can be done on a path.
pub struct Operation {
    /// Method in lower case.
    pub method: &'static str,
    /// Name of the operation, unique.
    pub name: &'static str,
    /// What it does, in a sentence.
    pub summary: &'static str,
    /// What can be said in path, query and headers.
    pub parameters: Vec<Parameter>,
    /// What is sent.
    pub body: Option<Shape>,
    /// What comes back when it goes well.
    pub answers: Vec<Answer>,
}

/// Something said in path, query or headers.
pub struct Parameter {
    /// Its name.
    pub name: &'static str,
    /// `path`, `query` or `header`.
    pub place: &'static str,
    /// What it means.
    pub what: &'static str,
    /// What it may be.
    pub shape: Shape,
    /// Whether it must be there.
    pub required: bool,
}

/// What comes back.
pub struct Answer {
    /// HTTP status.
    pub status: u16,
    /// What it means.
    pub what: &'static str,
    /// Media type and shape of the body, if there is one.
    pub body: Option<(&'static str, Shape)>,
}

/// The schema of a type.
fn shape<T: JsonSchema>(generator: &mut SchemaGenerator) -> Schema {
    generator.subschema_for::<T>()
}

impl Route {
    /// A path on which nothing can be done yet.
    pub fn new(path: &'static str) -> Self {
        Self { path, operations: Vec::new(), handler: MethodRouter::new() }
    }

    /// The same with an operation and who answers it.
    #[must_use]
    pub fn with(mut self, operation: Operation, handler: MethodRouter<App>) -> Self {
        self.operations.push(operation);
        self.handler = self.handler.merge(handler);
        self
    }
}

impl Operation {
    /// A look at something.
    pub fn get(name: &'static str, summary: &'static str) -> Self {
        Self::new("get", name, summary)
    }

    /// Something is sent.
    pub fn post(name: &'static str, summary: &'static str) -> Self {
        Self::new("post", name, summary)
    }

    /// Something is ended.
    pub fn delete(name: &'static str, summary: &'static str) -> Self {
        Self::new("delete", name, summary)
    }

    fn new(method: &'static str, name: &'static str, summary: &'static str) -> Self {
        Self { method, name, summary, parameters: Vec::new(), body: None, answers: Vec::new() }
    }

    /// The same with a parameter in its path.
    #[must_use]
    pub fn path<T: JsonSchema>(mut self, name: &'static str, what: &'static str) -> Self {
        self.parameters.push(Parameter { name, place: "path", what, shape: shape::<T>, required: true });
        self
    }

    /// The same with a parameter that may be in its query.
    #[must_use]
    pub fn query<T: JsonSchema>(mut self, name: &'static str, what: &'static str) -> Self {
        self.parameters.push(Parameter { name, place: "query", what, shape: shape::<T>, required: false });
        self
    }

    /// The same with a header.
    #[must_use]
    pub fn header(mut self, name: &'static str, what: &'static str, required: bool) -> Self {
        self.parameters.push(Parameter { name, place: "header", what, shape: shape::<String>, required });
        self
    }

    /// The same with a body.
    #[must_use]
    pub fn body<T: JsonSchema>(mut self) -> Self {
        self.body = Some(shape::<T>);
        self
    }

    /// The same with a JSON answer.
    #[must_use]
    pub fn answers<T: JsonSchema>(self, status: u16, what: &'static str) -> Self {
        self.answers_as::<T>(status, what, "application/json")
    }

    /// The same with an answer of another media type.
    #[must_use]
    pub fn answers_as<T: JsonSchema>(mut self, status: u16, what: &'static str, media: &'static str) -> Self {
        self.answers.push(Answer { status, what, body: Some((media, shape::<T>)) });
        self
    }

    /// The same with `304` for clients that have the document already.
    #[must_use]
    pub fn conditional(mut self) -> Self {
        self.answers.push(Answer { status: 304, what: "Nothing has changed.", body: None });
        self.header("If-None-Match", "Entity tag of the document that the client has.", false)
    }
}
