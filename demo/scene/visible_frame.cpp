#include "visible_frame.hpp"

#include "dirt.hpp"
#include "heatrow/core/error.hpp"
#include "lens.hpp"
#include "smooth_noise.hpp"

#include <Eigen/Geometry>
#include <cpl_conv.h>
#include <gdal_priv.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>

namespace scene {
namespace {

using Colour = Eigen::Vector3f;

const Colour kCell(0.08F, 0.11F, 0.24F);
const Colour kBetweenCells(0.62F, 0.64F, 0.68F);
const Colour kFilm(0.07F, 0.07F, 0.09F);
const Colour kRim(0.78F, 0.79F, 0.80F);
const Colour kBack(0.80F, 0.80F, 0.78F);
const Colour kDirt(0.52F, 0.44F, 0.31F);
const Colour kShards(0.85F, 0.87F, 0.90F);
const Colour kGrass(0.36F, 0.42F, 0.20F);
const Colour kEarth(0.52F, 0.45F, 0.33F);
const Colour kSky(0.45F, 0.62F, 0.86F);
const Colour kCloud(0.92F, 0.93F, 0.95F);
const Colour kSun(1.0F, 1.0F, 0.97F);
constexpr float kDiffuse = 0.38F;  // what a shadow leaves

Colour mixed(const Colour& a, const Colour& b, float share) {
    return a + share * (b - a);
}

Colour colour_of(Slab::Look look) {
    switch (look) {
        case Slab::Look::leaves:
            return {0.20F, 0.36F, 0.12F};
        case Slab::Look::dark:
            return {0.10F, 0.10F, 0.10F};
        case Slab::Look::fur:
            return {0.45F, 0.33F, 0.22F};
        case Slab::Look::wall:
            break;
    }
    return {0.66F, 0.62F, 0.56F};
}

CameraSpec camera_of(const VisibleSpec& spec) {
    CameraSpec camera;
    camera.width_px = spec.width_px;
    camera.height_px = spec.height_px;
    camera.focal_px = spec.focal_px;
    camera.principal_point_px = {0.5 * (spec.width_px - 1), 0.5 * (spec.height_px - 1)};
    return camera;
}

// Share of a pixel that a line takes: the line lies at a distance from the pixel's middle, all in metres.
float line_share(double distance, double line, double pixel) {
    return static_cast<float>(std::clamp((0.5 * (line + pixel) - distance) / pixel, 0.0, std::min(1.0, line / pixel)));
}

}  // namespace

VisibleRenderer::VisibleRenderer(const World& world)
    : world_(world),
      camera_(camera_of(*world.spec.visible)),
      to_sun_(direction_of(world.spec.sky.sun_azimuth_deg, world.spec.sky.sun_elevation_deg)) {
    for (const Fault& fault : world.faults) {
        if (fault.pattern == heatrow::Pattern::soiling || fault.pattern == heatrow::Pattern::broken_glass_suspected) {
            marks_.emplace(fault.panel, &fault);
        }
    }
}

float VisibleRenderer::lit(int face, const Eigen::Vector3d& at) const {
    const bool sun = to_sun_.z() > 0.0 && world_.caster.face(face).normal.dot(to_sun_) > 0.0 &&
                     world_.caster.cast_from(face, at, to_sun_).kind == Hit::Kind::nothing;
    return sun ? 1.0F : kDiffuse;
}

Colour VisibleRenderer::glass(const Hit& hit, double pixel_m) const {
    const PanelType& type = world_.plant.type_of(hit.panel);
    const bool film = type.technology == PanelType::Technology::thin_film;
    Colour colour = film ? kFilm : kCell;
    const auto box = type.cell_box(type.nearest_cell(hit.x, hit.y));
    const double line = film ? 0.0003 : world_.spec.heat.cell_gap_m;
    const double across = std::min(std::abs(hit.x - box.left), std::abs(hit.x - box.right));
    const double down = std::min(std::abs(hit.y - box.top), std::abs(hit.y - box.bottom));
    colour = mixed(colour, kBetweenCells, std::max(line_share(across, line, pixel_m), line_share(down, line, pixel_m)));
    if (type.cell_at(hit.x, hit.y) < 0) {
        colour = film ? kFilm : kBetweenCells;
    }
    const auto [first, last] = marks_.equal_range(hit.panel);
    for (auto mark = first; mark != last; ++mark) {
        const Fault& fault = *mark->second;
        if (fault.pattern == heatrow::Pattern::soiling) {
            const double cover = Dirt(fault.place_m, fault.size_m, fault.seed).cover(hit.x, hit.y);
            colour = mixed(colour, kDirt, static_cast<float>(0.9 * cover));
        } else {  // the borders of shards
            constexpr double kShardsPerMetre = 9.0;
            const double height = smooth_noise(fault.seed, kShardsPerMetre * hit.x, kShardsPerMetre * hit.y);
            colour = mixed(colour, kShards, std::abs(height) < 0.06 ? 0.8F : 0.12F);
        }
    }
    return colour;
}

Colour VisibleRenderer::module(const Hit& hit, const Ray& ray, double metres_per_pixel) const {
    if (hit.kind == Hit::Kind::back) {
        return kDiffuse * kBack;
    }
    const Face& face = world_.caster.face(hit.face);
    const Eigen::Vector3d at = ray.from + hit.distance * ray.direction;
    const double facing = std::max(0.2, -ray.direction.dot(face.normal));
    Colour colour = hit.kind == Hit::Kind::rim ? kRim : glass(hit, metres_per_pixel * hit.distance / facing);
    const float light = lit(hit.face, at);
    colour *= light;
    const Eigen::Vector3d mirrored = ray.direction - 2.0 * ray.direction.dot(face.normal) * face.normal;
    const double lobe = world_.plant.table_of(hit.panel).glint_lobe_deg * std::numbers::pi / 180.0 / 2.3548 + 0.003;
    const double glint = light < 1.0F ? 0.0 : std::exp(-0.5 * (mirrored - to_sun_).squaredNorm() / (lobe * lobe));
    return mixed(colour, kSun, static_cast<float>(glint));
}

Colour VisibleRenderer::ground(const Ray& ray) const {
    const Eigen::Vector3d at = world_.ground.meet(ray.from, ray.direction);
    const GroundSpec& spec = world_.spec.ground;
    const double warmer = world_.ground.at(at.x(), at.y()) - spec.above_air_k;
    // The raster knows where tables shade the ground: what is that much cooler is dark.
    const double shade = std::clamp(-warmer / std::max(1.0, spec.shade_k), 0.0, 1.0);
    const auto bare = static_cast<float>(std::clamp(
        0.5 + 0.25 * smooth_noise(7, 1.3 * at.x(), 1.3 * at.y()) + 0.25 * smooth_noise(8, 6.0 * at.x(), 6.0 * at.y()),
        0.0,
        1.0));
    return mixed(kGrass, kEarth, bare) * (1.0F - (1.0F - kDiffuse) * static_cast<float>(shade));
}

Colour VisibleRenderer::look(const Hit& hit, const Ray& ray, double metres_per_pixel) const {
    switch (hit.kind) {
        case Hit::Kind::nothing: {
            if (ray.direction.z() < -1e-9) {
                return ground(ray);
            }
            const double cover = world_.clouds.none() ? 0.0 : world_.clouds.opacity(ray.direction, {0.0, 0.0});
            return mixed(kSky, kCloud, static_cast<float>(cover));
        }
        case Hit::Kind::slab: {
            const auto& slab = world_.slabs[static_cast<std::size_t>(hit.face - world_.caster.table_count())];
            const auto sunward = static_cast<float>(std::abs(slab.face.normal.dot(to_sun_)));
            return colour_of(slab.look) * mixed(Colour::Constant(kDiffuse), Colour::Ones(), sunward).x();
        }
        default:
            return module(hit, ray, metres_per_pixel);
    }
}

ColourPicture VisibleRenderer::render(int shot_index) const {
    const VisibleSpec& spec = *world_.spec.visible;
    const Shot& shot = world_.shots[static_cast<std::size_t>(shot_index)];
    const Eigen::Matrix3d axes = site_from_camera(shot.pose);
    const Eigen::Vector3d position =
        shot.pose.position_in_site + spec.delay_s * shot.velocity_m_s + axes * spec.offset_m;
    const auto from = world_.caster.viewpoint(position);
    ColourPicture picture{spec.width_px, spec.height_px, {}};
    picture.bytes.resize(3 * static_cast<std::size_t>(spec.width_px) * static_cast<std::size_t>(spec.height_px));
    const auto direction = [&](int x, int y) {
        const Eigen::Vector2d ray = ray_of_pixel(camera_, {x, y});
        return Eigen::Vector3d(axes.col(0) * ray.x() + axes.col(1) * ray.y() + axes.col(2));
    };
    constexpr int kTile = 32;
    std::vector<int> faces;
    for (int top = 0; top < spec.height_px; top += kTile) {
        for (int left = 0; left < spec.width_px; left += kTile) {
            const int right = std::min(left + kTile, spec.width_px);
            const int bottom = std::min(top + kTile, spec.height_px);
            world_.caster.candidates(from,
                                     {direction(left - 1, top - 1),
                                      direction(right, top - 1),
                                      direction(left - 1, bottom),
                                      direction(right, bottom)},
                                     faces);
            for (int y = top; y < bottom; ++y) {
                for (int x = left; x < right; ++x) {
                    const Ray ray{position, direction(x, y).normalized()};
                    const Colour colour =
                        look(world_.caster.cast(from, ray.direction, faces), ray, 1.0 / spec.focal_px);
                    std::uint8_t* const pixel = picture.bytes.data() + 3 * (y * spec.width_px + x);
                    for (int band = 0; band < 3; ++band) {
                        pixel[band] =
                            static_cast<std::uint8_t>(std::lround(255.0F * std::clamp(colour[band], 0.0F, 1.0F)));
                    }
                }
            }
        }
    }
    return picture;
}

std::string visible_name(const World& world, const std::string& thermal) {
    const std::string stem = std::filesystem::path(thermal).stem().string();
    return "visible" + stem.substr(stem.find('_')) + world.spec.visible->extension();
}

void write_picture(const std::filesystem::path& file, const ColourPicture& picture, const VisibleSpec& spec) {
    const auto refuse = [&file] {
        throw heatrow::Error(heatrow::ErrorKind::output,
                             "Could not write a visible-light frame",
                             file.string(),
                             CPLGetLastErrorMsg(),
                             "Check free space and permissions.");
    };
    struct Close {
        void operator()(GDALDataset* dataset) const { GDALClose(dataset); }
    };
    CPLErrorReset();
    GDALDriverManager& drivers = *GetGDALDriverManager();
    const std::unique_ptr<GDALDataset, Close> memory(
        drivers.GetDriverByName("MEM")->Create("", picture.width, picture.height, 3, GDT_Byte, nullptr));
    auto bytes = picture.bytes;
    if (memory->RasterIO(GF_Write,
                         0,
                         0,
                         picture.width,
                         picture.height,
                         bytes.data(),
                         picture.width,
                         picture.height,
                         GDT_Byte,
                         3,
                         nullptr,
                         3,
                         3 * picture.width,
                         1,
                         nullptr) != CE_None) {
        refuse();
    }
    const bool jpeg = spec.format == "jpeg";
    std::string quality = "QUALITY=" + std::to_string(spec.jpeg_quality);
    std::array<char*, 2> options{jpeg ? quality.data() : nullptr, nullptr};
    GDALDriver* const driver = drivers.GetDriverByName(jpeg ? "JPEG" : "PNG");
    std::unique_ptr<GDALDataset, Close> written(
        driver == nullptr ? nullptr
                          : driver->CreateCopy(file.c_str(), memory.get(), FALSE, options.data(), nullptr, nullptr));
    if (!written) {
        refuse();
    }
    written.reset();
    if (CPLGetLastErrorType() >= CE_Failure) {
        refuse();
    }
}

}  // namespace scene
