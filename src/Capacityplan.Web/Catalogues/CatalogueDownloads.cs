using System.Text;
using Capacityplan.Core.Exchange;
using Capacityplan.Core.Machines;
using Capacityplan.Storage;
using Microsoft.AspNetCore.Http.HttpResults;

namespace Capacityplan.Web.Catalogues;

/// <summary>Catalogues as files to keep or send on.</summary>
internal static class CatalogueDownloads
{
    private const int LongestName = 60;

    /// <summary>Adds the addresses, such as /machines/{id}/catalogue.csv.</summary>
    public static void MapCatalogueDownloads(this IEndpointRouteBuilder endpoints)
    {
        Map("csv", "text/csv; charset=utf-8", CatalogueExport.ToDelimited);
        Map("json", "application/json; charset=utf-8", CatalogueExport.ToJson);
        Map("xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", CatalogueExport.ToSpreadsheet);

        void Map(string form, string type, Func<Catalogue, byte[]> write) => endpoints.MapGet(
            $"/machines/{{id:guid}}/catalogue.{form}",
            async Task<Results<FileContentHttpResult, NotFound>> (Guid id, CatalogueStore catalogues, CancellationToken cancellation) =>
                await catalogues.FindAsync(id, cancellation) is { Catalogue: { } catalogue }
                    ? TypedResults.File(write(catalogue), type, $"{FileName(catalogue.Name)}.{form}")
                    : TypedResults.NotFound())
            .ExcludeFromDescription();
    }

    /// <summary>A name that every file system takes: letters, digits, hyphens.</summary>
    internal static string FileName(string name)
    {
        var safe = new StringBuilder();
        foreach (char letter in name)
        {
            if (char.IsLetterOrDigit(letter))
                safe.Append(letter);
            else if (safe.Length > 0 && safe[^1] != '-' && !char.IsSurrogate(letter))
                safe.Append('-');
            if (safe.Length >= LongestName)
                break;
        }

        string plain = safe.ToString().Trim('-');
        return plain.Length > 0 ? $"machines-{plain}" : "machines";
    }
}
