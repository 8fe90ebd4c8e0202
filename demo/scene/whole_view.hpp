// When a frame shows a module wholly.
#pragma once

namespace scene {

// Least visible_share (docs/formats/scene-truth.md): all of its points are seen, the four corners among them.
inline constexpr double kWholeShare = 0.995;

}  // namespace scene
