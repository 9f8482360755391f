// SPDX-License-Identifier: BSL-1.0
// Nothing here: this source gives the precompiled header of the tests a target to belong to.
