#include "firmware/diagnosis/load_history.h"

namespace cornerbench::diagnosis {

bool uses_load(Quantity quantity) {
    return quantity != Quantity::resistance && quantity != Quantity::inspection;
}

bool same_places(const Load& a, const Load& b) {
    if (a.count != b.count) return false;
    for (int i = 0; i < a.count; ++i) {
        if (a.standing[i].x_m != b.standing[i].x_m || a.standing[i].y_m != b.standing[i].y_m) return false;
    }
    return true;
}

bool same_load(const Load& a, const Load& b) {
    if (!same_places(a, b)) return false;
    for (int i = 0; i < a.count; ++i) {
        if (a.standing[i].mass_kg != b.standing[i].mass_kg) return false;
    }
    return true;
}

int point_loads(const Load& load, double gravity, double times,
                std::array<mechanics::PointLoad, max_standing>& out) {
    for (int i = 0; i < load.count; ++i) {
        const Standing& s = load.standing[i];
        out[i] = {s.x_m, s.y_m, times * s.mass_kg * gravity};
    }
    return load.count;
}

LoadHistory load_history(const Sheet& sheet) {
    LoadHistory h;
    h.loads = h.moments = 1;
    constexpr Load nothing{};
    const Load* latest = &nothing;
    const Load* standing = nullptr;  // what stands on the deck at this point of the sheet
    for (const Reading& r : sheet.readings) {
        if (h.readings == max_readings) break;
        const int at = h.readings++;
        h.placing_of[at] = -1;
        if (r.zero_set) h.zero_reading_of[h.zeroings++] = static_cast<short>(at);
        h.zeroing_of[at] = static_cast<short>(h.zeroings - 1);
        if (!uses_load(r.quantity)) continue;
        const bool came_down = r.direction == Direction::decreasing && r.load.count > 0;
        if (came_down || !same_load(*latest, r.load)) ++h.moments;
        latest = &r.load;
        h.moment_of[at] = static_cast<short>(h.moments - 1);
        if (r.load.count == 0) {
            standing = nullptr;
            continue;
        }
        if (standing == nullptr || !same_places(*standing, r.load)) ++h.placings;
        standing = &r.load;
        h.placing_of[at] = static_cast<short>(h.placings - 1);
        int found = 0;
        for (int l = 1; l < h.loads && found == 0; ++l) {
            if (same_load(sheet.readings[h.first_reading_of[l]].load, r.load)) found = l;
        }
        if (found == 0) {
            found = h.loads++;
            h.first_reading_of[found] = static_cast<short>(at);
        }
        h.load_of[at] = static_cast<short>(found);
    }
    return h;
}

}  // namespace cornerbench::diagnosis
