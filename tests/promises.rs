/*! The promises a user relies on: one module a promise. */
