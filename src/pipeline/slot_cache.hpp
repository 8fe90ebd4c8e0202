// What frames' pixels said, kept on disk: a run that was killed goes on where it stopped, and one that only judges anew
// looks at no pixel. Formats: docs/formats/slot-records.md.
#pragma once

#include "heatrow/core/rejection.hpp"
#include "heatrow/georeference/flight_alignment.hpp"
#include "heatrow/io/record_file.hpp"
#include "heatrow/site/layout_index.hpp"
#include "survey_inputs.hpp"
#include "view_store.hpp"

#include <Eigen/Core>
#include <tl/expected.hpp>

#include <atomic>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

struct FrameOutcome;

// Gathers what a record depends on.
class KeyMaker {
  public:
    void add(std::string_view text);
    void add(double value);
    void add(const Eigen::Vector3d& values);
    void add(const FramePose& pose);
    void add(const FramePrior& prior);  // all but its place in the run
    void add(const FlightAlignment& alignment);
    [[nodiscard]] RecordKey make() const;

  private:
    std::vector<std::uint8_t> bytes_;
};

// A frame's file as it was read, now or in an earlier run.
struct FrameFileFacts {
    std::uint64_t bytes = 0;
    std::string sha256;
    std::vector<std::uint8_t> content;  // empty where it was not read
};

// Thread-safe. Once the file cannot be written any more nothing is kept, and the run goes on.
class SlotCache {
  public:
    SlotCache() = default;  // keeps nothing
    // Nothing for later runs; what this run need not have in memory lies in the folder while it lasts.
    explicit SlotCache(const std::filesystem::path& scratch_folder) : views_(scratch_folder) {}
    // folder: made if it is missing; one file for each survey, and what this run need not have in memory. Throws
    // Error(output) where it cannot be written.
    SlotCache(const SurveyInputs& inputs, const std::filesystem::path& folder);
    SlotCache(const SlotCache&) = delete;
    SlotCache& operator=(const SlotCache&) = delete;

    [[nodiscard]] bool is_open() const { return file_ != nullptr; }

    // Hash and size of a frame's file: of an earlier run where its stamp is the same, else it is read. Of a part of a
    // raster those of the part, without reading it.
    tl::expected<FrameFileFacts, Rejection> look_up(const FrameFile& frame);

    // Starts a key with what every record depends on, and the geometry of the layout. Precondition: is_open().
    [[nodiscard]] KeyMaker key(const LayoutIndex& site) const;

    // An empty key is never found and never kept.
    [[nodiscard]] std::optional<FlightAlignment> find_alignment(const RecordKey& key);
    void keep_alignment(const RecordKey& key, const FlightAlignment& alignment);
    // Fills in what pixels say; false where it is not kept.
    bool find_outcome(const RecordKey& key, FrameOutcome& outcome);
    void keep_outcome(const RecordKey& key, const FrameOutcome& outcome);

    // Cells of this run's views.
    [[nodiscard]] ViewStore& views() { return views_; }

    [[nodiscard]] std::size_t frames_found() const { return found_; }
    // Why nothing is kept although it was asked for; empty where all is well.
    [[nodiscard]] std::string problem() const;
    [[nodiscard]] std::filesystem::path path() const { return path_; }

  private:
    [[nodiscard]] std::optional<std::vector<std::uint8_t>> find(const RecordKey& key) const;
    void keep(const RecordKey& key, const std::vector<std::uint8_t>& bytes);

    std::unique_ptr<RecordFile> file_;
    ViewStore views_;
    std::filesystem::path path_;
    RecordKey purpose_;
    std::atomic<std::size_t> found_ = 0;
    mutable std::mutex guard_;
    std::string problem_;
};

}  // namespace heatrow
