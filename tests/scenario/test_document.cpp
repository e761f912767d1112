#include <lapheat/scenario/document.hpp>

#include <unistd.h>

#include <catch2/catch.hpp>
#include <ctime>
#include <fstream>

#include "car.hpp"
#include "lapheat/scenario/scenario.hpp"

using namespace lapheat::scenario;
namespace fs = std::filesystem;

namespace {

/// A folder with files, removed at the end of a test.
struct Folder {
    fs::path path = fs::temp_directory_path() / ("lapheat_scenario_" + std::to_string(::getpid()));
    Folder() { fs::create_directories(path / "placements"); }
    ~Folder() { fs::remove_all(path); }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    fs::path write(const std::string& name, const std::string& text) const {
        std::ofstream(path / name) << text;
        return path / name;
    }
};

std::string first_problem(const fs::path& path) {
    Problems problems;
    (void)load(path, problems);
    REQUIRE(problems.errors() >= 1);
    return to_string(problems.sorted().front());
}

bool ends_with(const std::string& text, const std::string& end) {
    return text.size() >= end.size() &&
           text.compare(text.size() - end.size(), end.size(), end) == 0;
}

}  // namespace

TEST_CASE("A placement is the few lines that differ from the car, and each value keeps its place") {
    const Folder folder;
    folder.write("car.toml", car::text);
    const fs::path rear = folder.write("placements/rear.toml",
                                       "extends = \"../car.toml\"\n"
                                       "cores.cooler.width = \"9 inch\"\n"
                                       "[surroundings]\nambient = \"40 degC\"\n"
                                       "[[lines]]\nfrom = \"cooler\"\nbores = \"12 mm\"\n");
    Problems problems;
    const Document document = load(rear, problems);
    const car::Car c = car::read(document, problems);
    REQUIRE(problems.errors() == 0);
    CHECK(c.cores[1].width == Approx(0.2286));
    CHECK(c.cores[1].tubes == 20);
    CHECK(c.ambient == Approx(313.15));
    REQUIRE(c.lines.size() == 1);
    CHECK(c.lines[0].bores == std::vector<double>{0.012});

    const DocumentNode& cooler = *document.root.find("cores")->find("cooler");
    CHECK(cooler.find("width")->place.file == rear.string());
    CHECK(cooler.find("width")->place.line == 2);
    CHECK(cooler.find("tubes")->place.file == (folder.path / "car.toml").string());
    REQUIRE(document.files.size() == 2);
    CHECK(document.files[0].path == rear.string());
    CHECK(document.files[1].text == car::text);
}

TEST_CASE("Errors of the car and of the placement are reported together, each in its file") {
    const Folder folder;
    folder.write("car.toml", car::changed("\"600 mm\"", "\"600 kg\""));
    const fs::path rear = folder.write("rear.toml",
                                       "extends = \"car.toml\"\ncores.cooler.widht = \"9 inch\"\n"
                                       "ambient = 3 degC\n");
    Problems problems;
    const Document document = load(rear, problems);
    car::read(document, problems);
    std::vector<std::string> found;
    for (const Problem& p : problems.sorted()) {
        found.push_back(fs::path(p.place.file).filename().string() + ":" +
                        std::to_string(p.place.line));
    }
    // The unreadable `ambient` is unknown at the top besides.
    CHECK(found ==
          std::vector<std::string>{"rear.toml:3", "car.toml:13", "rear.toml:2", "rear.toml:3"});
}

TEST_CASE("A later file replaces arrays, scalars and tables marked so, and merges the rest") {
    const Folder folder;
    folder.write("a.toml", "x = 1\nlist = [1, 2, 3]\n[t]\na = 1\nb = 2\n[u]\na = 1\n[v]\na = 1\n");
    folder.write("b.toml", "y = 5\n[t]\nc = 3\n");
    const Document d = load(folder.write("c.toml",
                                         "extends = [\"a.toml\", \"b.toml\"]\nlist = [9]\n"
                                         "v = false\n[t]\na = 7\n[u]\nreplace = true\nz = 1\n"));
    CHECK(d.root.find("x")->integer == 1);
    CHECK(d.root.find("y")->integer == 5);
    CHECK(d.root.find("extends") == nullptr);
    CHECK(d.root.find("list")->items.size() == 1);
    CHECK(d.root.find("t")->find("a")->integer == 7);
    CHECK(d.root.find("t")->find("b")->integer == 2);
    CHECK(d.root.find("t")->find("c")->integer == 3);
    CHECK(d.root.find("u")->entries.size() == 1);
    CHECK(d.root.find("u")->find("z")->integer == 1);
    CHECK(d.root.find("v")->kind == DocumentNode::Kind::boolean);
    CHECK(d.files.size() == 3);
}

TEST_CASE("A placement changes, leaves out, adds and moves the items of a list by their names") {
    const Folder folder;
    folder.write("car.toml",
                 "[run]\nparts = [\n"
                 "  { kind = \"pump\", name = \"pump\" },\n"
                 "  { kind = \"hose\", name = \"supply\", length = \"1 m\", bends = 2 },\n"
                 "  { kind = \"tube\", name = \"middle\" },\n"
                 "  { kind = \"hose\", name = \"return\", length = \"1 m\" },\n]\n");
    const fs::path rear = folder.write("placements/rear.toml",
                                       "extends = \"../car.toml\"\n[run.parts]\n"
                                       "supply = { length = \"3 m\" }\n"
                                       "middle = false\n"
                                       "core = { after = \"supply\", kind = \"core\" }\n"
                                       "pump = { after = \"return\" }\n");
    const Document document = load(rear);
    const std::vector<DocumentNode>& parts = document.root.find("run")->find("parts")->items;
    std::string names;
    for (const DocumentNode& part : parts) names += part.find("name")->text + " ";
    CHECK(names == "supply core return pump ");
    CHECK(parts[0].find("length")->text == "3 m");
    CHECK(parts[0].find("bends")->integer == 2);
    CHECK(parts[1].find("kind")->text == "core");
    CHECK(parts[1].find("after") == nullptr);
    CHECK(parts[1].find("kind")->place.file == rear.string());
}

TEST_CASE(
    "Items without names are changed by their number, and a number that is not there is told") {
    const Folder folder;
    folder.write("car.toml",
                 "[[fans.left.switches]]\non = \"93 degC\"\nlag = \"6 s\"\n"
                 "[[fans.left.switches]]\non = \"98 degC\"\n");
    const auto laid = [&](const std::string& text) {
        return folder.write("placements/rear.toml", "extends = \"../car.toml\"\n" + text);
    };
    const Document document =
        load(laid("[fans.left.switches.2]\non = \"99 degC\"\nlag = \"4 s\"\n"));
    const auto& switches = document.root.find("fans")->find("left")->find("switches")->items;
    REQUIRE(switches.size() == 2);
    CHECK(switches[0].find("on")->text == "93 degC");
    CHECK(switches[0].find("lag")->text == "6 s");
    CHECK(switches[1].find("on")->text == "99 degC");
    CHECK(switches[1].find("lag")->text == "4 s");
    for (const char* wrong : {"3", "0", "first", "1x"})
        CHECK(first_problem(
                  laid(std::string("[fans.left.switches.") + wrong + "]\non = \"99 degC\"\n"))
                  .find("there is no item " + std::string(wrong) +
                        ", expected a number from 1 to 2, or the whole list anew") !=
              std::string::npos);
    CHECK(ends_with(first_problem(laid("[fans.left.switches]\n1 = 3\n")),
                    "1: found 3, expected a table of what differs"));
}

TEST_CASE("An item that is not there, or follows none that is, is refused with the nearest name") {
    const Folder folder;
    folder.write("car.toml",
                 "[run]\nparts = [ { name = \"supply hose\" }, { name = \"pump\" } ]\n");
    const auto problem = [&](const std::string& line) {
        return first_problem(folder.write(
            "placements/bad.toml", "extends = \"../car.toml\"\n[run.parts]\n" + line + "\n"));
    };
    CHECK(
        ends_with(problem("\"suply hose\" = { length = \"3 m\" }"),
                  "bad.toml:3:1: suply hose: there is no item \"suply hose\", expected the name "
                  "of one that is there, or `after`, which adds it; did you mean 'supply hose'?"));
    CHECK(ends_with(problem("core = { after = \"pmp\" }"),
                    "core.after: found \"pmp\", expected the name of the item it follows; did you "
                    "mean 'pump'?"));
    CHECK(ends_with(problem("pump = 3"),
                    "pump: found 3, expected a table of what differs, or false to leave it out"));
}

TEST_CASE("Files that extend in a circle, are missing or are folders are errors at the extends") {
    const Folder folder;
    folder.write("a.toml", "extends = \"b.toml\"\n");
    folder.write("b.toml", "# b\nextends = \"a.toml\"\n");
    const std::string circle = first_problem(folder.path / "a.toml");
    CHECK(circle.find("b.toml:2:11: extends: ") != std::string::npos);
    CHECK(circle.find("in a circle") != std::string::npos);
    CHECK(first_problem(folder.write("self.toml", "extends = \"self.toml\"")).find("in a circle") !=
          std::string::npos);
    CHECK(first_problem(folder.write("c.toml", "x = 1\nextends = \"no.toml\""))
              .find("c.toml:2:11: extends: cannot read") != std::string::npos);
    CHECK(ends_with(first_problem(folder.write("d.toml", "extends = \"placements\"")),
                    "it is a folder"));
    CHECK(ends_with(first_problem(folder.write("e.toml", "extends = 3")),
                    "extends: found 3, expected the path of a file, such as \"car.toml\""));
    CHECK(first_problem(folder.path / "none.toml").find("cannot read") != std::string::npos);
    CHECK_THROWS_AS(load(folder.path / "none.toml"), Errors);
}

TEST_CASE("Files that extend each other over and over end in an error, not in a hang") {
    const Folder folder;
    for (int i = 0; i < 30; ++i) {
        const std::string next = "\"f" + std::to_string(i + 1) + ".toml\"";
        folder.write("f" + std::to_string(i) + ".toml", "extends = [" + next + ", " + next + "]");
    }
    folder.write("f30.toml", "x = 1");
    CHECK(first_problem(folder.path / "f0.toml").find("more than 200 files") != std::string::npos);
}

TEST_CASE("A placement of a car that cannot be read does not complain about what it lacks") {
    const Folder folder;
    folder.write("car.toml", "[engine\n");
    const fs::path rear = folder.write("rear.toml", "extends = \"car.toml\"\nname = \"x\"\n");
    Problems problems;
    const Document document = load(rear, problems);
    car::read(document, problems);
    CHECK(problems.errors() == 1);
}

TEST_CASE("A value set by its path replaces the file's and is checked like it") {
    Problems problems;
    const Document plain = parse(car::text, "car.toml", problems);
    const auto read = [&](const Document& document) {
        Problems found;
        car::Car c = car::read(document, found);
        found.throw_if_any();
        return c;
    };
    CHECK(read(plain.with("cores.radiator.width", "700 mm")).cores[0].width == Approx(0.7));
    CHECK(read(plain.with("cores.radiator.width", "\"700 mm\"")).cores[0].width == Approx(0.7));
    CHECK(read(plain.with("cores.radiator.tubes", "17")).cores[0].tubes == 17);
    CHECK(read(plain.with("lines[2].bores", "[\"3 mm\", \"4 mm\"]")).lines[1].bores.size() == 2);
    CHECK(read(plain.with("lines[1].bores[2]", "3 mm")).lines[0].bores[1] == Approx(0.003));
    CHECK(read(plain.with("surroundings.ambient", "40 degC")).ambient == Approx(313.15));
    CHECK(read(plain).cores[0].width == Approx(0.6));

    const Document twice = plain.with("mass", "1 t").with("mass", "2 t");
    CHECK(read(twice).mass == Approx(2000.0));
    REQUIRE(twice.files.size() == 2);
    CHECK(twice.files[1].text == "mass = \"2 t\"\n");

    Problems found;
    const Document wrong = plain.with("cores.radiator.width", "700 kg");
    car::read(wrong, found);
    REQUIRE(found.errors() == 1);
    CHECK(to_string(found.sorted().front(), wrong.files) ==
          "set cores.radiator.width:1:24: cores.radiator.width: '700 kg' is a mass, expected a "
          "length such as \"8 mm\"\n  1 | cores.radiator.width = \"700 kg\"\n"
          "    |                        ^");
    Problems misspelt;
    car::read(plain.with("cores.radiator.widht", "700 mm"), misspelt);
    CHECK(to_string(misspelt.sorted().front()) ==
          "set cores.radiator.widht:1:1: cores.radiator.widht: unknown key; did you mean "
          "'width'? known: kind, fluid, width, tubes, heat");
}

TEST_CASE("A path that leads nowhere is refused with the nearest that leads somewhere") {
    const Document d = parse(car::text);
    for (const char* path : {"", ".", "a.", ".a", "a..b", "a b", "lines[0].from", "lines[x]",
                             "lines[1", "lines[3].from", "name.first", "mass[1]", "\"open",
                             "cores.radiatr.width", "lines.from"}) {
        INFO(path);
        CHECK_THROWS_AS(d.with(path, "1"), lapheat::Error);
    }
    try {
        (void)d.with("cores.radiatr.width", "1 mm");
    } catch (const lapheat::Error& e) {
        CHECK(std::string(e.what()) ==
              "'cores.radiatr.width': there is no 'radiatr'; did you mean 'radiator'?");
    }
    CHECK_THROWS_AS(d.with("name", "\xff\xfe"), lapheat::Error);
    CHECK(d.with("name", "a\"b\\c\n\x01").root.find("name")->text == "a\"b\\c\n\x01");
}

TEST_CASE("What cannot be read is told first, with what to do, and nothing that follows from it") {
    const auto folder = std::filesystem::temp_directory_path() / "lapheat-not-text";
    std::filesystem::create_directories(folder);
    const auto told = [&](const std::string& bytes) {
        const auto file = folder / "car.toml";
        std::ofstream(file, std::ios::binary) << bytes;
        try {
            (void)lapheat::scenario::read(file);
        } catch (const Errors& e) {
            return std::pair(e.problems().size(), to_string(e.problems().front()));
        }
        return std::pair(std::size_t{0}, std::string());
    };
    using namespace std::string_literals;
    const auto has = [](const std::string& text, const char* words) {
        return text.find(words) != std::string::npos;
    };
    for (const auto& [bytes, words] : {std::pair{"\xff\xfe"
                                                 "c\0a\0"s,
                                                 "UTF-16"},
                                       {"\xfe\xff\0c\0a"s, "UTF-16"},
                                       {"c\0a\0r\0"s, "UTF-16"},
                                       {"\xff\xfe\0\0c\0\0\0"s, "UTF-32"},
                                       {"car = \"K\xe4"
                                        "fer\"\n"s,
                                        "UTF-8"},
                                       {"\x89HDF\r\n"s, "lapheat show"},
                                       {"PK\x03\x04..."s, "plain text"},
                                       {"{\\rtf1}"s, "plain text"},
                                       {"car = \"x\"\nengine = {\n"s, "not TOML"}}) {
        INFO(words);
        const auto [count, first] = told(bytes);
        CHECK(count == 1);
        CHECK(has(first, words));
    }
    CHECK(has(told("car = \"one\"\nplacement = \"K\xe4"
                   "fer\"\n")
                  .second,
              ":2:15: "));
    CHECK(has(told("extends = \"nowhere.toml\"\n").second, "cannot read"));
    CHECK(told("extends = \"nowhere.toml\"\n").first == 1);
    CHECK(has(told("car = \u201cx\u201d\n").second, "straight quotes"));
    // A line that cannot be read comes before what else is wrong.
    CHECK(has(told("placement = \"x\"\ncar = x\n").second, "not TOML"));
    std::filesystem::remove_all(folder);
}

TEST_CASE("A path is told by the names of parts") {
    Problems problems;
    const Document d = parse(
        "[[lines]]\nname = \"supply hose\"\n[[lines]]\nlength = 1\n"
        "[a.\"b c\"]\nd = [[1, 2]]\n",
        "t.toml", problems);
    CHECK(by_names(d.root, "lines[1].length") == "lines.\"supply hose\".length");
    CHECK(by_names(d.root, "lines[2].length") == "lines[2].length");
    CHECK(by_names(d.root, "a.\"b c\".d[1][2]") == "a.\"b c\".d[1][2]");
    CHECK(by_names(d.root, "lines[9].x") == "lines[9].x");
    CHECK(by_names(d.root, "") == "");
}

TEST_CASE(
    "Names nested without end are refused at their line, before anything goes down with them") {
    std::string deep = "car = \"x\"\n";
    for (int i = 0; i < 12000; ++i) deep += i ? ".a" : "a";
    const auto complaint = [](const std::string& text) {
        lapheat::scenario::Problems problems;
        (void)lapheat::scenario::parse(text, "text", problems);
        REQUIRE(problems.errors() == 1);
        return problems.sorted().front();
    };
    CHECK(complaint(deep + " = 1\n").place.line == 2);
    CHECK(complaint("[" + deep.substr(11) + "]\nb = 1\n").place.line == 1);
    CHECK(complaint("a = " + std::string(100000, '[') + "\n").place.line == 1);
    // A dot in a name that is quoted, a number's, a sentence's, is none of these.
    std::string dots;
    for (int i = 0; i < 40; ++i) dots += "a. ";
    const Document named = lapheat::scenario::parse("\"" + dots + "\" = \"" + dots + "\"\n");
    REQUIRE(named.root.find(dots) != nullptr);
    CHECK(named.root.find(dots)->text == dots);
    CHECK(lapheat::scenario::parse("note = \"\"\"\nSome words. " + dots + "\n\"\"\"\n")
              .root.find("note")
              ->text == "Some words. " + dots + "\n");
}

TEST_CASE("As many keys as nobody has are told in few words and little time") {
    const Folder folder;
    std::string keys = "car = \"x\"\n[vehicle]\n";
    for (int i = 0; i < 50000; ++i) keys += "k" + std::to_string(i) + " = 1\n";
    folder.write("base.toml", keys);
    const fs::path over = folder.write("over.toml", "extends = \"base.toml\"\n" + keys);
    const std::clock_t begun = std::clock();
    std::size_t unknown = 0;
    try {
        (void)read(over);
        FAIL("accepted");
    } catch (const Errors& e) {
        for (const Problem& p : e.problems()) unknown += p.found == "unknown key" ? 1 : 0;
        CHECK(e.problems().size() < 150);
    }
    CHECK(unknown == 101);  // the last says that there are others
    // Each looked for among all others it took minutes; now some tenths of a second.
    CHECK(static_cast<double>(std::clock() - begun) / CLOCKS_PER_SEC < 10);
}

TEST_CASE("A file of more than 32 MB is refused before it is parsed") {
    const auto complaints = [](std::size_t size) {
        Problems problems;
        (void)parse("# " + std::string(size, 'x') + "\n", "large.toml", problems);
        return problems.errors() > 0 ? problems.sorted().front().found : std::string();
    };
    CHECK(complaints(33U << 20U).find("too large") != std::string::npos);
    CHECK(complaints(31U << 20U).empty());
}
