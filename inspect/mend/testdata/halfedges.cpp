// Reads triangles from standard input ("vertices triangles", then places and corners),
// makes one vertex of equal places, builds half edges of them with OpenMesh and prints
// vertices, open edges and triangles that it took: one at a branching edge or vertex it
// does not take.
#include <OpenMesh/Core/Mesh/TriMesh_ArrayKernelT.hh>
#include <OpenMesh/Core/Utils/vector_cast.hh>
#include <array>
#include <iostream>
#include <map>
#include <vector>

int main() {
  typedef OpenMesh::TriMesh_ArrayKernelT<> Mesh;
  ::omerr().disable();
  std::size_t v, t;
  std::cin >> v >> t;
  Mesh mesh;
  std::map<std::array<double, 3>, Mesh::VertexHandle> at;
  std::vector<Mesh::VertexHandle> of(v);
  for (std::size_t i = 0; i < v; i++) {
    std::array<double, 3> p;
    std::cin >> p[0] >> p[1] >> p[2];
    auto found = at.find(p);
    if (found == at.end()) found = at.emplace(p, mesh.add_vertex(Mesh::Point(p[0], p[1], p[2]))).first;
    of[i] = found->second;
  }
  for (std::size_t i = 0; i < t; i++) {
    std::size_t a, b, c;
    std::cin >> a >> b >> c;
    mesh.add_face(of[a], of[b], of[c]);
  }
  std::size_t open = 0, alone = 0;
  for (auto e : mesh.edges()) open += e.is_boundary();
  for (auto p : mesh.vertices()) alone += mesh.is_isolated(p);
  std::cout << mesh.n_vertices() - alone << " " << open << " " << mesh.n_faces() << "\n";
}
