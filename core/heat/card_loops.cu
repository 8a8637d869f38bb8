// The loops of conduction.py, cycle_loops.py and cell_heat.py for an NVIDIA card; `real` is float or double.
#define HEAD(nz, ny, nx) \
    const int i = blockIdx.x * blockDim.x + threadIdx.x + 1; \
    const int j = blockIdx.y * blockDim.y + threadIdx.y + 1; \
    const int k = blockIdx.z * blockDim.z + threadIdx.z + 1; \
    const bool inside = i < nx - 1 && j < ny - 1 && k < nz - 1; \
    const size_t sy = nx, sz = (size_t)nx * ny, c = k * sz + j * sy + i;

// links of this cell: down/up along x, y, z
#define LINKS const real x0 = gx[c], x1 = gx[c + 1], y0 = gy[c], y1 = gy[c + sy], z0 = gz[c], z1 = gz[c + sz];
#define NEAR(t) (x0 * t[c - 1] + x1 * t[c + 1] + y0 * t[c - sy] + y1 * t[c + sy] + z0 * t[c - sz] + z1 * t[c + sz])

__device__ void block_sum(double mine, double* sums) {
    __shared__ double held[32 * 4 * 2];
    const int n = blockDim.x * blockDim.y * blockDim.z;
    const int t = (threadIdx.z * blockDim.y + threadIdx.y) * blockDim.x + threadIdx.x;
    held[t] = mine;
    __syncthreads();
    for (int s = n / 2; s > 0; s /= 2) {
        if (t < s) held[t] += held[t + s];
        __syncthreads();
    }
    if (t == 0) sums[((size_t)blockIdx.z * gridDim.y + blockIdx.y) * gridDim.x + blockIdx.x] = held[0];
}

__device__ real product(const real* gx, const real* gy, const real* gz, const real* own, const real* t,
                        size_t c, size_t sy, size_t sz) {
    const real h = t[c];
    return gx[c] * (h - t[c - 1]) + gx[c + 1] * (h - t[c + 1]) + gy[c] * (h - t[c - sy]) + gy[c + sy] * (h - t[c + sy])
        + gz[c] * (h - t[c - sz]) + gz[c + sz] * (h - t[c + sz]) + own[c] * h;
}

extern "C" {

__global__ void apply_dot(int nz, int ny, int nx, const real* gx, const real* gy, const real* gz, const real* own,
                          const real* t, real* out, double* sums) {
    HEAD(nz, ny, nx)
    double mine = 0;
    if (inside) {
        const real v = product(gx, gy, gz, own, t, c, sy, sz);
        out[c] = v;
        mine = (double)t[c] * v;
    }
    block_sum(mine, sums);
}

__global__ void inverse_diagonal(int nz, int ny, int nx, const real* gx, const real* gy, const real* gz,
                                 const real* own, real* out) {
    HEAD(nz, ny, nx)
    if (!inside) return;
    LINKS
    const real total = x0 + x1 + y0 + y1 + z0 + z1 + own[c];
    out[c] = total > 0 ? 1 / total : 0;
}

__global__ void two_sweeps(int nz, int ny, int nx, const real* gx, const real* gy, const real* gz, const real* m,
                           const real* b, real* out, real first, real second) {
    HEAD(nz, ny, nx)
    if (!inside) return;
    LINKS
    const real near = x0 * b[c - 1] * m[c - 1] + x1 * b[c + 1] * m[c + 1] + y0 * b[c - sy] * m[c - sy]
        + y1 * b[c + sy] * m[c + sy] + z0 * b[c - sz] * m[c - sz] + z1 * b[c + sz] * m[c + sz];
    out[c] = m[c] * (first * b[c] + second * ((1 - first) * b[c] + first * near));
}

__global__ void sweep_dot(int nz, int ny, int nx, const real* gx, const real* gy, const real* gz, const real* m,
                          const real* b, const real* t, real* out, real weight, double* sums) {
    HEAD(nz, ny, nx)
    double mine = 0;
    if (inside) {
        LINKS
        const real v = (1 - weight) * t[c] + weight * m[c] * (b[c] + NEAR(t));
        out[c] = v;
        mine = (double)b[c] * v;
    }
    block_sum(mine, sums);
}

// one thread a coarse cell: (nz, ny, nx) are the coarse sizes, (fz, fy, fx) the fine ones
__global__ void leave(int nz, int ny, int nx, int fz, int fy, int fx, const real* gx, const real* gy, const real* gz,
                      const real* own, const real* b, const real* t, real* coarse) {
    HEAD(nz, ny, nx)
    if (!inside) return;
    const size_t ty = fx, tz = (size_t)fx * fy;
    real total = 0;
    for (int kk = 2 * k - 1; kk < min(2 * k + 1, fz - 1); kk++)
        for (int jj = 2 * j - 1; jj < min(2 * j + 1, fy - 1); jj++)
            for (int ii = 2 * i - 1; ii < min(2 * i + 1, fx - 1); ii++) {
                const size_t f = kk * tz + jj * ty + ii;
                total += b[f] - product(gx, gy, gz, own, t, f, ty, tz);
            }
    coarse[c] = total;
}

__global__ void prolong_add(int nz, int ny, int nx, int my, int mx, const real* coarse, real* t) {
    HEAD(nz, ny, nx)
    if (!inside) return;
    t[c] += coarse[((size_t)((k + 1) / 2) * my + (j + 1) / 2) * mx + (i + 1) / 2];
}

__global__ void coarse_links(int nz, int ny, int nx, int fz, int fy, int fx, const real* gx, const real* gy,
                             const real* gz, real* cx, real* cy, real* cz) {
    HEAD(nz, ny, nx)
    if (!inside) return;
    const size_t ty = fx, tz = (size_t)fx * fy;
    double x = 0, y = 0, z = 0;
    for (int kk = 2 * k - 1; kk < min(2 * k + 1, fz - 1); kk++)
        for (int jj = 2 * j - 1; jj < min(2 * j + 1, fy - 1); jj++) {
            x += gx[kk * tz + jj * ty + 2 * i - 1];
            for (int ii = 2 * i - 1; ii < min(2 * i + 1, fx - 1); ii++) {
                const size_t f = kk * tz + jj * ty + ii;
                if (jj == 2 * j - 1) y += gy[f];
                if (kk == 2 * k - 1) z += gz[f];
            }
        }
    cx[c] = 0.5 * x;
    cy[c] = 0.5 * y;
    cz[c] = 0.5 * z;
}

__global__ void coarse_sums(int nz, int ny, int nx, int fz, int fy, int fx, const real* fine, real* coarse) {
    HEAD(nz, ny, nx)
    if (!inside) return;
    const size_t ty = fx, tz = (size_t)fx * fy;
    real total = 0;
    for (int kk = 2 * k - 1; kk < min(2 * k + 1, fz - 1); kk++)
        for (int jj = 2 * j - 1; jj < min(2 * j + 1, fy - 1); jj++)
            for (int ii = 2 * i - 1; ii < min(2 * i + 1, fx - 1); ii++) total += fine[kk * tz + jj * ty + ii];
    coarse[c] = total;
}

__global__ void flow_in(int nz, int ny, int nx, const real* gx, const real* gy, const real* gz, const real* t,
                        real* out) {
    HEAD(nz, ny, nx)
    if (!inside) return;
    LINKS
    const real h = t[c];
    out[c] = x0 * (t[c - 1] - h) + x1 * (t[c + 1] - h) + y0 * (t[c - sy] - h) + y1 * (t[c + sy] - h)
        + z0 * (t[c - sz] - h) + z1 * (t[c + sz] - h);
}

__global__ void add_scaled(int nz, int ny, int nx, real* a, real one, const real* b, real two) {
    HEAD(nz, ny, nx)
    if (inside) a[c] = one * a[c] + two * b[c];
}

__global__ void conjugate_step(int nz, int ny, int nx, real* t, const real* p, real* r, const real* q, real alpha,
                               double* sums) {
    HEAD(nz, ny, nx)
    double mine = 0;
    if (inside) {
        t[c] += alpha * p[c];
        const real v = r[c] - alpha * q[c];
        r[c] = v;
        mine = (double)v * v;
    }
    block_sum(mine, sums);
}

__global__ void new_direction(int nz, int ny, int nx, real* p, const real* z, real beta) {
    HEAD(nz, ny, nx)
    if (inside) p[c] = z[c] + beta * p[c];
}

__global__ void square_sum(int nz, int ny, int nx, const real* a, double* sums) {
    HEAD(nz, ny, nx)
    block_sum(inside ? (double)a[c] * a[c] : 0, sums);
}

__global__ void set_links(int nz, int ny, int nx, const real* rise, double base,
                          const unsigned short* metal, const unsigned char* walls, const unsigned char* powder, int bk, int bj, int bi, const double* tables, int n, double first, double step,
                          double cell, int high, real* out) {
    HEAD(nz, ny, nx)
    if (!inside || k > high || k < 1 + bk || j < 1 + bj || i < 1 + bi) return;
    const size_t before = c - bk * sz - bj * sy - bi;
    const double at = (0.5 * ((double)rise[c] + rise[before]) + base - first) / step;
    const int row = min(max((int)at, 0), n - 2);
    const double w = min(max(at - row, 0.0), 1.0), f = metal[c] / 65520.0;
    const double* v = tables + row;
    const double in_metal = v[0] + w * (v[1] - v[0]), in_powder = v[n] + w * (v[n + 1] - v[n]);
    const double wall = v[2 * n] + w * (v[2 * n + 1] - v[2 * n]);
    const double p = powder[c] / 240.0, rest = 1 - p;
    double g = p * in_powder;
    if (p < 1) {
        const double share = min(f / rest, 1.0);
        g += rest / (share / in_metal + (1 - share) / in_powder + walls[c] / 16.0 / rest * wall / cell);
    }
    out[c] = cell * g;
}

__global__ void take_heat(int nz, int ny, int nx, const real* moved, const unsigned short* metal, real* heat, real* rise,
                          real* capacity, double kg, double loose, double base, double base_j_kg,
                          const double* enthalpy, int n, double first, double step, int high, double* sums) {
    HEAD(nz, ny, nx)
    double mine = 0;
    if (inside && k <= high) {
        mine = moved[c];
        const real held = heat[c] + moved[c];
        heat[c] = held;
        const double mass = kg * (loose + (1 - loose) * (metal[c] / 65520.0)), j_kg = held / mass + base_j_kg;
        int row = min(max((int)((rise[c] + base - first) / step), 0), n - 2);
        while (row > 0 && j_kg < enthalpy[row]) row--;
        while (row < n - 2 && j_kg >= enthalpy[row + 1]) row++;
        const double slope = (enthalpy[row + 1] - enthalpy[row]) / step;
        rise[c] = first - base + row * step + (j_kg - enthalpy[row]) / slope;
        capacity[c] = mass * slope;
    }
    block_sum(mine, sums);
}

}
