//! glidewright-project
