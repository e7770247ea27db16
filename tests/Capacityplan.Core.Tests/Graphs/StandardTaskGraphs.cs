using Capacityplan.Core.Graphs;
using Capacityplan.Core.Reading;

namespace Capacityplan.Core.Tests.Graphs;

/// <summary>
/// Graphs of T. Tobita and H. Kasahara, "A standard task graph set for fair evaluation of multiprocessor scheduling
/// algorithms", Journal of Scheduling 5(5), 2002; reference/stg/SOURCE.md says from where.
/// </summary>
internal static class StandardTaskGraphs
{
    private static readonly Lazy<IReadOnlyDictionary<string, TaskGraph>> s_all = new(() =>
    {
        string folder = Path.Combine(AppContext.BaseDirectory, "reference", "stg");
        return new[] { "50", "100" }
            .SelectMany(set => Directory.GetFiles(Path.Combine(folder, set), "*.stg")
                .Select(file => (Key: $"{set}/{Path.GetFileNameWithoutExtension(file)}", Graph: TaskGraphReader.Read(File.ReadAllText(file)).Graph!)))
            .ToDictionary(one => one.Key, one => one.Graph);
    });

    public static IReadOnlyDictionary<string, TaskGraph> All => s_all.Value;

    public static TaskGraph Of(ReferenceTable row) => All[row.Text("set") + "/" + row.Text("graph")];
}
