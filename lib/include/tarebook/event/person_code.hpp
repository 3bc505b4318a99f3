// What stands in an event in place of a person's name: a code, made of the name and a random salt. It says which name
// it was to a program that has both, and without the salt no one finds the name by trying.
#pragma once

#include <string>
#include <string_view>

namespace tarebook {

/// The first letters of a code; 32 lower-case digits of hex follow.
inline constexpr std::string_view person_prefix = "person:";
/// How many bytes a salt has.
inline constexpr std::size_t person_salt_size = 16;
/// Whether a text has the form of a code.
bool is_person_code(std::string_view text);
/// The code of a name: the first half of the SHA-256 of both.
std::string person_code(std::string_view salt, std::string_view name);
/// "person 5f3c9a1b": a code as people read it.
std::string short_person(std::string_view code);

}  // namespace tarebook
