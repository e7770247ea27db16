using Capacityplan.EndToEnd.Tests.Browsing;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>A job known task by task: a file chosen, answered, looked into, and kept.</summary>
public sealed class TaskGraphTests(BrowserFixture fixture) : BrowserTest(fixture)
{
    /// <inheritdoc/>
    protected override bool HasOwnServer => true;

    // Four harbours, each read, then gridded in ten pieces, then written; the third harbour's writing is long.
    private static readonly string s_graph = "id,seconds,parents\n" + string.Concat(Enumerable.Range(1, 4).Select(harbour =>
        $"read_{harbour},30,\n"
        + string.Concat(Enumerable.Range(1, 10).Select(piece => $"grid_{harbour}_{piece},{60 + 7 * piece},read_{harbour}\n"))
        + $"write_{harbour},{(harbour == 3 ? 300 : 40)},{string.Join(';', Enumerable.Range(1, 10).Select(piece => $"grid_{harbour}_{piece}"))}\n"));

    [Fact]
    public async Task File_Chosen_IsAnsweredDrawnAndThereAfterARestart()
    {
        var sheet = new PlanSheet(await OpenAsync("plans"));
        await sheet.Page.GetByText("New plan", new() { Exact = true }).First.ClickAsync();
        await sheet.Blank(BlankLabels.DoneBy).FillAsync("20 min");
        await sheet.SaveAsync(() => sheet.Page.GetByLabel("File of the task graph").SetInputFilesAsync(
            new FilePayload { Name = "harbours.csv", MimeType = "text/csv", Buffer = System.Text.Encoding.UTF8.GetBytes(s_graph) }));

        await ExpectGraphAsync(sheet);
        string path = new Uri(sheet.Page.Url).PathAndQuery;

        // A part of the schedule drawn across with the pointer is shown larger.
        await sheet.Chart("schedule").ScrollIntoViewIfNeededAsync();
        await Expect(sheet.Chart("schedule").Locator(".plot svg .bars .point").First).ToBeAttachedAsync();
        ILocator whole = sheet.Button("Whole schedule");
        await Expect(whole).ToHaveAttributeAsync("aria-pressed", "true");
        LocatorBoundingBoxResult box = (await sheet.Chart("schedule").Locator(".plot").BoundingBoxAsync())!;
        await sheet.Page.Mouse.MoveAsync(box.X + box.Width / 3, box.Y + 40);
        await sheet.Page.Mouse.DownAsync();
        await sheet.Page.Mouse.MoveAsync(box.X + box.Width / 2, box.Y + 42, new() { Steps = 4 });
        await sheet.Page.Mouse.UpAsync();
        await Expect(whole).ToHaveAttributeAsync("aria-pressed", "false");
        await whole.ClickAsync();
        await Expect(whole).ToHaveAttributeAsync("aria-pressed", "true");

        await RestartAsync();

        sheet = new PlanSheet(await OpenAsync(path.TrimStart('/')));
        await ExpectGraphAsync(sheet);
    }

    private static async Task ExpectGraphAsync(PlanSheet sheet)
    {
        await sheet.ExpectStateAsync("Holds");
        await Expect(sheet.Page.GetByRole(AriaRole.Heading, new() { Name = "Task graph: 48 tasks", Exact = true })).ToBeVisibleAsync();
        await Expect(sheet.Page.GetByText("harbours.csv, a table. Kept with the plan.")).ToBeVisibleAsync();
        await Expect(sheet.Page.GetByRole(AriaRole.Heading, new() { Name = "The critical path has 3 tasks; write_3 takes 65" })).ToBeVisibleAsync();
        await Expect(sheet.Page.GetByText("schedules found are proved optimal").Or(sheet.Page.GetByText("Every schedule found is proved optimal"))).ToBeVisibleAsync();
    }
}
