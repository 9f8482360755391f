// SPDX-License-Identifier: BSL-1.0
#pragma once

// What the library throws. A physical outcome (a fan that never meets the system, a stalled crossing) is no
// error: it comes back as a status in the result.

#include <stdexcept>
#include <string>

namespace filterflow {

/// Base of every exception of the library.
class Error : public std::runtime_error {
public:
    using std::runtime_error::runtime_error;
};

/// An argument outside the range of the model: says which function, which argument, its value with unit and
/// what is required.
class DomainError : public Error {
public:
    using Error::Error;
};

/// A solution was sought that is proved absent, or was not found: says which of the two, and what was tried.
class NoSolution : public Error {
public:
    using Error::Error;
};

}   // namespace filterflow
