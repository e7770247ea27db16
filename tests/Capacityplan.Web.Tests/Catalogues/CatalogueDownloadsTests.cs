using System.Net;
using Capacityplan.Core.Exchange;
using Capacityplan.Core.Machines;
using Capacityplan.Storage;
using Capacityplan.Web.Catalogues;
using Capacityplan.Web.Tests.Serving;
using Microsoft.Extensions.DependencyInjection;

namespace Capacityplan.Web.Tests.Catalogues;

public sealed class CatalogueDownloadsTests(Site site) : IClassFixture<Site>
{
    [Theory]
    [InlineData("csv", "text/csv")]
    [InlineData("json", "application/json")]
    [InlineData("xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")]
    public async Task Download_OfACatalogue_IsAFileWithTheSameMachines(string form, string type)
    {
        using HttpClient client = site.CreateClient();
        Catalogue birds = TemporaryStore.Birds() with { Name = "../Birds & \"gulls\"" };
        StoredCatalogue stored = await site.Services.GetRequiredService<CatalogueStore>().CreateAsync(birds, TestContext.Current.CancellationToken);

        using HttpResponseMessage answer = await client.GetAsync($"/machines/{stored.Id}/catalogue.{form}", TestContext.Current.CancellationToken);

        Assert.Equal((HttpStatusCode.OK, type), (answer.StatusCode, answer.Content.Headers.ContentType?.MediaType));
        Assert.Equal($"machines-Birds-gulls.{form}", answer.Content.Headers.ContentDisposition?.FileName);
        ImportTable table = ImportTable.Of(CatalogueFile.Open(await answer.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken)));
        CatalogueImport import = CatalogueImport.Read(table, table.Guesses, new ImportChoices());
        Assert.Equal(birds.Name, import.Name);
        Assert.Equal(birds.Machines.Select(machine => machine.Purchase[0]), import.Reading.Catalogue.Machines.Select(machine => machine.Purchase[0]));
    }

    [Fact]
    public async Task Download_OfNoCatalogue_IsNotFound()
    {
        using HttpClient client = site.CreateClient();

        using HttpResponseMessage answer = await client.GetAsync($"/machines/{Guid.NewGuid()}/catalogue.csv", TestContext.Current.CancellationToken);

        Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
    }

    [Theory]
    [InlineData("Tidemark", "machines-Tidemark")]
    [InlineData("  ", "machines")]
    [InlineData("a/b\\c:d*e\r\nf", "machines-a-b-c-d-e-f")]
    [InlineData("Vögel 2026", "machines-Vögel-2026")]
    public void FileName_OfAnyName_IsSafe(string name, string expected) => Assert.Equal(expected, CatalogueDownloads.FileName(name));
}
