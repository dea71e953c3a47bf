//! glidewright-motion
