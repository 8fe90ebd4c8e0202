// Small scenes for the renderer's tests, written to a folder of their own.
#pragma once

#include "scene_spec.hpp"

#include <filesystem>
#include <string>

namespace scene_test {

// A folder under the system's temporary one, removed at the end.
class TemporaryFolder {
  public:
    TemporaryFolder();
    ~TemporaryFolder();
    TemporaryFolder(const TemporaryFolder&) = delete;
    TemporaryFolder& operator=(const TemporaryFolder&) = delete;
    [[nodiscard]] const std::filesystem::path& path() const { return path_; }

  private:
    std::filesystem::path path_;
};

// Two short tables flown over with a small picture; every fault is listed in the text.
std::string small_scene_text();

// Reads a scene from text by way of a file.
scene::SceneSpec read_scene_text(const std::string& text);

// The small scene without anything random in the picture: no noise, no blur, no spread, no texture.
scene::SceneSpec quiet_scene();

std::string file_bytes(const std::filesystem::path& file);

}  // namespace scene_test
