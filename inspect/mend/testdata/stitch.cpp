// Reads triangles from standard input ("vertices triangles", then places and corners),
// makes a surface of them with one vertex a stored vertex, stitches its borders and prints
// vertices, open edges and triangles.
#include <CGAL/Polygon_mesh_processing/orient_polygon_soup.h>
#include <CGAL/Polygon_mesh_processing/polygon_soup_to_polygon_mesh.h>
#include <CGAL/Polygon_mesh_processing/stitch_borders.h>
#include <CGAL/Simple_cartesian.h>
#include <CGAL/Surface_mesh.h>
#include <array>
#include <iostream>
#include <vector>

int main() {
  typedef CGAL::Simple_cartesian<double>::Point_3 Point;
  std::size_t v, t;
  std::cin >> v >> t;
  std::vector<Point> points;
  std::vector<std::array<std::size_t, 3>> triangles(t);
  for (std::size_t i = 0; i < v; i++) {
    double x, y, z;
    std::cin >> x >> y >> z;
    points.emplace_back(x, y, z);
  }
  for (auto &c : triangles) std::cin >> c[0] >> c[1] >> c[2];
  CGAL::Surface_mesh<Point> mesh;
  namespace PMP = CGAL::Polygon_mesh_processing;
  PMP::orient_polygon_soup(points, triangles);
  PMP::polygon_soup_to_polygon_mesh(points, triangles, mesh);
  PMP::stitch_borders(mesh);
  mesh.collect_garbage();
  std::size_t open = 0;
  for (auto e : mesh.edges()) open += mesh.is_border(e);
  std::size_t alone = 0;
  for (auto p : mesh.vertices()) alone += mesh.is_isolated(p);
  std::cout << mesh.number_of_vertices() - alone << " " << open << " " << mesh.number_of_faces() << "\n";
}
