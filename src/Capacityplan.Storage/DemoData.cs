using System.Text.Json;
using Capacityplan.Core.Machines;
using Capacityplan.Core.Planning;

namespace Capacityplan.Storage;

/// <summary>The demo that a store is given when it is started for the first time.</summary>
/// <param name="Plan">The demo's plan; priced with the default catalogue.</param>
/// <param name="Catalogue">The demo's catalogue, invented prices and all.</param>
public sealed record DemoData(PlanDraft Plan, Catalogue Catalogue)
{
    /// <summary>Loads the demo that ships with the program.</summary>
    public static DemoData Load()
    {
        using Stream plan = Resource("plan.json");
        using Stream catalogue = Resource("catalogue.json");
        return Load(plan, catalogue);
    }

    /// <summary>Loads a demo from two files in the form of <see cref="StoredJson"/>.</summary>
    /// <exception cref="JsonException">A file is not of that form.</exception>
    public static DemoData Load(Stream plan, Stream catalogue) => new(Read<PlanDraft>(plan), Read<Catalogue>(catalogue));

    private static Stream Resource(string name) =>
        typeof(DemoData).Assembly.GetManifestResourceStream($"demo/{name}")
        ?? throw new InvalidOperationException($"The program was built without its demo file {name}.");

    private static T Read<T>(Stream stream)
        where T : class =>
        JsonSerializer.Deserialize<T>(stream, StoredJson.Options) ?? throw new JsonException("The file holds nothing but 'null'.");
}
