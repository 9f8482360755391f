// SPDX-License-Identifier: BSL-1.0
#pragma once

// How a function that is no template is compiled only where it is called.

namespace filterflow {

/// Marks a function whose body is compiled where it is called, not wherever its header is included:
///
///     template <Deferred...>
///     inline StudyResult run_study(const StudyInput& study) { ... }
///
/// The body of an inline function makes the compiler instantiate every template that it uses (containers, algorithms,
/// quantities) in each translation unit that includes it, called or not; that of a template only what is called. The
/// pack is always empty and nobody writes an argument for it: the function is called, overloaded and documented as if
/// it were no template, and loses only to a template that fits its arguments better, as before.
enum class Deferred {};

}   // namespace filterflow
